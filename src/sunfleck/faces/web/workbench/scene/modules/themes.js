// Colours of the picture by day and in a dim room, and the light that falls in it.
import { THREE } from "nicegui-scene";

export const THEMES = {
  light: {
    ground: "#f1efe8",
    ink: "#2b2f27",
    faint: "#8b8f84",
    accent: "#b2482f",
    ghost: "#4b6c8c",
    shadow: 0.17,
    paper: "#fbfaf6",
    dim: 1.0,
    pane: 0.09,
  },
  dark: {
    ground: "#17191b",
    ink: "#dcdad2",
    faint: "#7d827c",
    accent: "#e58b6b",
    ghost: "#8fb3d3",
    shadow: 0.5,
    paper: "#1f2326",
    dim: 0.8,
    pane: 0.07,
  },
};

/** Whether the page is dark: what it says itself, not what the system wants. */
export const themeNow = () => THEMES[document.body.classList.contains("body--dark") ? "dark" : "light"];

// Everything is worked out here, in sRGB as it is shown: a shader that converts every pixel costs most without a card.
const linear = (c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
const shown = (c) => (c <= 0.0031308 ? 12.92 * c : 1.055 * Math.min(1, c) ** (1 / 2.4) - 0.055);
const LINEAR = Float32Array.from({ length: 256 }, (_, k) => linear(k / 255));
const SHOWN = Float32Array.from({ length: 1025 }, (_, k) => shown(k / 1024));
const encode = (c) => SHOWN[Math.min(1024, (c * 1024 + 0.5) | 0)];

/** A colour of the theme for a material, as it is shown. */
export const sheer = (color, hex) => color.setHex(Number.parseInt(hex.slice(1), 16), THREE.LinearSRGBColorSpace);

// From the front, the left and above; the sky is bright, what comes from the ground is warm and weak.
const KEY = [-0.42, -0.62, 0.66];

/**
 * Colours of the corners of a surface with the light of the picture on them. Lights do not move, so they need not be
 * worked out in every frame.
 * @param {Uint8Array} tints sRGB
 * @param {Float32Array} normals
 * @param {Float32Array} into sRGB, 0 to 1
 */
export function lit(tints, normals, into) {
  for (let k = 0; k < tints.length; k += 3) {
    const [x, y, z] = [normals[k], normals[k + 1], normals[k + 2]];
    const key = Math.max(0, x * KEY[0] + y * KEY[1] + z * KEY[2]);
    const sky = 0.5 + 0.5 * z;
    const light = 0.42 + 0.32 * sky + 0.42 * key;
    into[k] = encode(LINEAR[tints[k]] * (light + 0.03 * (1 - sky)));
    into[k + 1] = encode(LINEAR[tints[k + 1]] * light);
    into[k + 2] = encode(LINEAR[tints[k + 2]] * (light + 0.02 * sky));
  }
  return into;
}

/**
 * Colours that mean a value: as they are where a surface faces up, a little darker where it does not,
 * so that a branch stays round.
 * @param {Uint8Array} colours sRGB, one a corner, or one a ring
 * @param {Uint32Array|null} ring the ring of each corner
 * @param {Float32Array} normals
 * @param {Float32Array} into sRGB, 0 to 1
 */
export function painted(colours, ring, normals, into) {
  for (let corner = 0; corner < into.length / 3; corner++) {
    const from = 3 * (ring ? ring[corner] : corner);
    const shade = 0.92 + 0.08 * normals[3 * corner + 2];
    for (let c = 0; c < 3; c++) into[3 * corner + c] = (colours[from + c] / 255) * shade;
  }
  return into;
}

/** Colours as they are. */
export function plain(tints, into) {
  for (let k = 0; k < tints.length; k++) into[k] = tints[k] / 255;
  return into;
}
