// Of a site without a server: its first page leads on to the one in the language that its reader has chosen or prefers.
import { recall } from "../basics/remember";

const there = Array.from(document.querySelectorAll<HTMLOptionElement>("#language option"), (option) => option.value);
const url = new URL(location.href);
const wishes = [url.searchParams.get("lang"), recall("language"), ...navigator.languages.map((tag) => tag.split("-")[0]!.toLowerCase())];
const wanted = wishes.find((code) => code && there.includes(code));
if (wanted && wanted !== document.documentElement.lang) {
  url.searchParams.delete("lang");
  url.pathname = new URL(`${wanted}.html`, url).pathname;
  location.replace(url);
}
