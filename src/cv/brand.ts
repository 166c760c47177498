// Two copies of this library may meet in one program: its ESM and its CJS build, or two installed copies. Each has
// classes of its own, so that `instanceof` and private fields fail between them. What a class makes therefore carries
// a name under the key "~cvset", by which every copy knows it.

/** The classes whose values callers pass around. */
export type Brand =
  | "CvSet"
  | "CvPatch"
  | "CvError"
  | "Place"
  | "BytePlace"
  | "Run"
  | "Scale"
  | "Codec"
  | "Decoder"
  | "Plan"
  | "PlanStep"
  | "SimulatedDecoder"
  | "SpeedResponse";

/** The name of the class of this library that made a value, whichever copy it was; undefined for anything else. */
export function brandOf(value: unknown): string | undefined {
  try {
    const brand = typeof value === "object" && value !== null && (value as { "~cvset"?: unknown })["~cvset"];
    return typeof brand === "string" ? brand : undefined;
  } catch {
    // A getter or a proxy that throws.
    return undefined;
  }
}

/** Whether a class of this library made a value, whichever copy it was. */
export function isA(brand: Brand, value: unknown): boolean {
  return brandOf(value) === brand;
}

/**
 * What `instanceof` gives for a class of this library: true for values of every copy. A class that extends it is
 * compared as usual.
 * @param asked The class that was asked for.
 * @param own The class of this library.
 */
export function isInstance(asked: unknown, own: unknown, brand: Brand, value: unknown): boolean {
  return asked === own
    ? isA(brand, value)
    : typeof asked === "function" && Function.prototype[Symbol.hasInstance].call(asked, value);
}
