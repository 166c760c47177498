import { oneIn } from "../cv/argument.js";
import { fault, type Issue } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";

const outOfReach = /* @__PURE__ */ fault(
  "out-of-reach",
  "{mode:text} mode does not reach this CV, only CV {reach:text}; use direct or paged mode",
);

/**
 * How CVs are reached: the four methods of service mode (S-9.2.3, July 2012, section E), or operations
 * mode, on the main (S-9.2.1 (July 2012), section C).
 */
export type AccessMode = "direct" | "paged" | "register" | "address-only" | "main";

/**
 * The access modes, the most capable one of service mode first.
 * @example
 * import { accessModes } from "cvset/packets";
 * accessModes; // ["direct", "paged", "register", "address-only", "main"]
 */
export const accessModes: readonly AccessMode[] = /* @__PURE__ */ Object.freeze<AccessMode[]>([
  "direct",
  "paged",
  "register",
  "address-only",
  "main",
]);

// Register n holds CV registers[n - 1]; 0 is the page register (S-9.2.3, July 2012, section E).
const registers: readonly number[] = [1, 2, 3, 4, 29, 0, 7, 8];

/** The register of a CV, 1-1024, in physical register mode; undefined when it has none. */
export function registerOf(cv: number): number | undefined {
  const at = registers.indexOf(cv);
  return at < 0 ? undefined : at + 1;
}

/** The CV of a register while page 1 is set; undefined for the page register. */
export function cvOfRegister(register: number): number | undefined {
  return registers[register - 1] || undefined;
}

/**
 * The value of the page register and the data register (1-4) of a CV in paged mode (S-9.2.3 (July 2012), section
 * E).
 */
export function pageAndRegister(cv: number): { page: number; register: number } {
  // A page number is one byte: page 256, CV 1021-1024, is sent as 0 (from memory).
  return { page: (((cv - 1) >> 2) + 1) & 255, register: ((cv - 1) & 3) + 1 };
}

/** The CV of a data register (1-4) while the page register holds `page`. */
export function cvOnPage(page: number, register: number): number {
  return ((page === 0 ? 256 : page) - 1) * 4 + register;
}

/** Whether a mode reaches a CV, by its key. */
export function reaches(mode: AccessMode, key: number): boolean {
  if (mode === "address-only") return key === 1;
  return mode === "register" ? registerOf(key) !== undefined : true;
}

/** Whether a mode can access single bits. */
export function hasBits(mode: AccessMode): boolean {
  return mode === "direct" || mode === "main";
}

/** The highest value that a mode can write. */
export function highestValue(mode: AccessMode): number {
  return mode === "address-only" ? 127 : 255;
}

/** The issue that a mode does not reach a CV. */
export function unreachable(mode: AccessMode, key: number): Issue {
  const reach = mode === "register" ? "1, 2, 3, 4, 7, 8 and 29" : "1";
  const places = [{ cv: nameOf(key), mask: 255 }];
  return outOfReach({ mode, reach }, { places, source: "S-9.2.3 (July 2012), section E" });
}

/** A way to reach the CVs. */
export const aMode = /* @__PURE__ */ oneIn(accessModes);
