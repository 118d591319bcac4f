import { MeshStandardMaterial } from "three";
import { armColours } from "./palette";

/**
 * Stoneware: raw clay with fine iron specks, and past the dip line a satin glaze. It reads the casting's attributes
 * "dip" (mm past the line) and "shade" (how open a point is).
 */
export function stoneware(): MeshStandardMaterial {
  const material = new MeshStandardMaterial({ color: armColours.clay, roughness: 0.82, metalness: 0 });
  material.onBeforeCompile = (shader) => {
    shader.uniforms.glaze = { value: armColours.glaze };
    shader.vertexShader = shader.vertexShader
      .replace("#include <common>", `#include <common>\nattribute float dip;\nattribute float shade;\nvarying float vDip;\nvarying float vShade;\nvarying vec3 vAt;`)
      .replace("#include <begin_vertex>", `#include <begin_vertex>\nvDip = dip;\nvShade = shade;\nvAt = position;`);
    shader.fragmentShader = shader.fragmentShader
      .replace("#include <common>", `#include <common>\nuniform vec3 glaze;\nvarying float vDip;\nvarying float vShade;\nvarying vec3 vAt;\n${specks}`)
      .replace(
        "#include <color_fragment>",
        `#include <color_fragment>
        float line = vDip + 1.6 * sin(vAt.x * 0.045 + vAt.y * 0.06) + 1.1 * sin(vAt.y * 0.11 + vAt.z * 0.07);
        float soft = max(fwidth(line), 0.3);
        float glazed = smoothstep(-soft, soft, line);
        // The glaze is thin and shows the clay's warmth just past the line.
        float thin = 1.0 - smoothstep(0.0, 9.0, line);
        vec3 coat = mix(glaze, glaze * vec3(1.25, 1.1, 0.9), thin * 0.6);
        diffuseColor.rgb = mix(diffuseColor.rgb * (1.0 - 0.34 * speck(vAt)), coat, glazed);
        diffuseColor.rgb *= mix(0.62, 1.0, smoothstep(0.1, 0.95, vShade));`,
      )
      .replace("#include <roughnessmap_fragment>", `#include <roughnessmap_fragment>\nroughnessFactor = mix(roughnessFactor, 0.38, glazed);`);
  };
  return material;
}

/** Turned parts, engraved marks and tools, each in its own colour. */
export function metal(): MeshStandardMaterial {
  return new MeshStandardMaterial({ vertexColors: true, roughness: 0.5, metalness: 0.15 });
}

// Specks sit at random places of a 7 mm lattice that moves with the link, each with its own size; far away, where
// they would flicker, they fade.
const specks = /* glsl */ `
float chance(vec3 c) {
  c = fract(c * vec3(0.1031, 0.1030, 0.0973));
  c += dot(c, c.yzx + 33.33);
  return fract((c.x + c.y) * c.z);
}
float speck(vec3 at) {
  vec3 p = at / 7.0;
  vec3 cell = floor(p);
  vec3 jitter = vec3(chance(cell), chance(cell + 17.0), chance(cell + 41.0)) * 0.6 + 0.2;
  float size = 0.05 + 0.13 * chance(cell + 71.0);
  float width = length(fwidth(p));
  float d = length(p - cell - jitter);
  return (1.0 - smoothstep(size - width, size + width, d)) * (1.0 - smoothstep(0.25, 0.7, width));
}`;
