// Makes the pictures of the docs: `make pictures`.
import { defineConfig } from "@playwright/test";
import tests from "./playwright.config";

export default defineConfig({ ...tests, testDir: ".", testMatch: "pictures.ts", workers: 1 });
