import { Color } from "three";

/** The two looks of the page. */
export type Theme = "light" | "dark";

/** Every colour of the view that changes with the theme. */
export interface Palette {
  background: string;
  floor: string;
  gridFine: string;
  gridStrong: string;
  floorText: string;
  ink: string; // thin lines and text
  paper: string; // behind text
  axes: readonly [string, string, string]; // X, Y, Z
  joint: string; // joint axes and turning senses
  trail: string;
  ghost: string;
  blocked: string;
  target: string;
  reached: string;
  thing: string; // what stands in the cell
  hand: string; // unlike the arm's clay and the axes' colours
  nail: string;
  crowd: readonly string[]; // groups of a class's answers, the largest first; class.css has the same
  shadow: number; // how dark the shadow on the floor is
  environment: number; // how bright the surroundings are
  key: number; // how bright the main light is
}

// X, Y and Z are vermillion, bluish green and blue of Okabe and Ito (2008), "Color Universal Design"; the joints'
// colour is their reddish purple, darkened. On the dark theme each keeps its hue and gets lighter.
const light: Palette = {
  background: "#eae5dc",
  floor: "#f6f3ed",
  gridFine: "#ddd6ca",
  gridStrong: "#b9afa0",
  floorText: "#6b6255",
  ink: "#2d2a27",
  paper: "#fbf9f5",
  axes: ["#d55e00", "#009e73", "#0072b2"],
  joint: "#93407a",
  trail: "#4a2f5c",
  ghost: "#4d6470",
  blocked: "#9c1c2b",
  target: "#8a5a00",
  reached: "#3c6b1f",
  thing: "#cdbb9d",
  hand: "#a9b7c4",
  nail: "#dfe6ec",
  crowd: ["#93407a", "#1f6b8f", "#8a5a00", "#3c6b1f", "#9c1c2b", "#4a4f57"],
  shadow: 0.24,
  environment: 0.8,
  key: 2.1,
};

const dark: Palette = {
  background: "#17191b",
  floor: "#22262a",
  gridFine: "#31363b",
  gridStrong: "#4d545b",
  floorText: "#a3abb3",
  ink: "#f0ece4",
  paper: "#23272b",
  axes: ["#ff8b3d", "#2fcf9f", "#59b4ef"],
  joint: "#e394cc",
  trail: "#d9b8ef",
  ghost: "#a9c3d1",
  blocked: "#ff7d86",
  target: "#f0b843",
  reached: "#9bd26d",
  thing: "#6f6455",
  hand: "#8d9fb0",
  nail: "#c9d4de",
  crowd: ["#e394cc", "#7cc4e8", "#f0b843", "#9bd26d", "#ff7d86", "#b9c0c8"],
  shadow: 0.5,
  environment: 0.42,
  key: 2.0,
};

export const palettes: Record<Theme, Palette> = { light, dark };

/** The arm's own colours, the same in both themes: stoneware, dark slip, and a fine line of ochre. */
export const armColours = {
  clay: new Color("#d3c3aa"),
  glaze: new Color("#5d6a66"),
  slip: new Color("#34332f"),
  steel: new Color("#8d8c88"),
  ring: new Color("#c08a2d"),
  mark: new Color("#f4ecdc"),
};
