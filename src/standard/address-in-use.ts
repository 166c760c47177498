import { CvError, type Issue } from "../cv/issue.js";
import { type Address, addressRanges, type KnownCvs } from "./address.js";

type Kind = Exclude<Address["kind"], "broadcast">;

/** The address of a kind whose stored number is `stored`; undefined when it is out of range. */
function within<K extends Kind>(kind: K, stored: number): { kind: K; number: number } | undefined {
  const { min, max, offset = 0 }: { min: number; max: number; offset?: number } = addressRanges[kind];
  const number = stored + offset;
  return number >= min && number <= max ? { kind, number } : undefined;
}

/**
 * The address that a multi-function decoder answers to: CV 29 bit 5 chooses CV 1 or CV 17 and 18.
 *
 * S-9.2.2 (July 2012), CV 1, 17, 18 and 29 bit 5.
 * @param cvs The CVs, as far as they are known.
 * @returns The address; undefined when a CV that it depends on is not known, or when the CVs hold no
 * address: CV 1 outside 1-127 (0 is the alternate power source), CV 17 outside 192-231.
 * @example
 * import { CvSet } from "cvset";
 * import { addressInUse } from "cvset/standard";
 * addressInUse(CvSet.from({ 17: 196, 18: 210, 29: 34 })); // { kind: "extended", number: 1234 }
 */
export function addressInUse(cvs: KnownCvs): Extract<Address, { kind: "primary" | "extended" }> | undefined {
  const configuration = cvs.get(29);
  if (configuration === undefined) return undefined;
  if (configuration & 32) return extendedAddressOf(cvs.get(17), cvs.get(18));
  const primary = cvs.get(1);
  return primary === undefined ? undefined : within("primary", primary);
}

/** The extended address that CV 17 and 18 hold, in use or not; undefined when they hold none. */
export function extendedAddressOf(
  high: number | undefined,
  low: number | undefined,
): Extract<Address, { kind: "extended" }> | undefined {
  return high === undefined || low === undefined ? undefined : within("extended", 256 * high + low);
}

/**
 * The address that an accessory decoder answers to. CV 29 bit 6 chooses how CV 1 and 9 hold it: as a
 * decoder address or as an output address. CV 29 bit 5 chooses basic or extended packets. That four
 * output addresses in a row belong to one decoder address is from memory.
 *
 * S-9.2.2 (July 2012), Table 3, CV 1, 9 and 29 bits 5 and 6.
 * @param cvs The CVs, as far as they are known.
 * @returns The address; undefined when a CV that it depends on is not known, or when CV 1 and 9 are out of
 * range.
 * @example
 * import { CvSet } from "cvset";
 * import { accessoryAddressInUse } from "cvset/standard";
 * accessoryAddressInUse(CvSet.from({ 1: 5, 9: 1, 29: 128 })); // { kind: "accessory", number: 69 }
 * accessoryAddressInUse(CvSet.from({ 1: 5, 9: 1, 29: 160 })); // { kind: "extended-accessory", number: 276 }
 */
export function accessoryAddressInUse(
  cvs: KnownCvs,
): Extract<Address, { kind: "accessory" | "accessory-output" | "extended-accessory" }> | undefined {
  const configuration = cvs.get(29);
  const low = cvs.get(1);
  const high = cvs.get(9);
  if (configuration === undefined || low === undefined || high === undefined) return undefined;
  const stored =
    configuration & 64
      ? within("accessory-output", 256 * high + low)
      : // The bits that hold no decoder address count as its highest ones, so that they must be 0.
        within("accessory", ((high >> 3) << 11) | ((low >> 6) << 9) | ((high & 7) << 6) | (low & 63));
  if (!stored || !(configuration & 32)) return stored;
  const number = stored.kind === "accessory" ? 4 * stored.number : stored.number;
  return within("extended-accessory", number);
}

/**
 * The consist that a decoder is in: CV 19 bits 0-6.
 *
 * S-9.2.2 (July 2012), CV 19.
 * @param cvs The CVs, as far as they are known.
 * @returns The address of the consist; undefined when there is none (0) or CV 19 is not known.
 * @example
 * import { CvSet } from "cvset";
 * import { consistInUse } from "cvset/standard";
 * consistInUse(CvSet.from({ 19: 160 })); // { kind: "consist", number: 32 }
 */
export function consistInUse(cvs: KnownCvs): Extract<Address, { kind: "consist" }> | undefined {
  const value = cvs.get(19);
  return value === undefined ? undefined : within("consist", value & 127);
}

/**
 * An address in words: `primary address 3`.
 * @param address The address.
 * @example
 * import { addressText } from "cvset/standard";
 * addressText({ kind: "extended", number: 1234 }); // "extended address 1234"
 */
export function addressText(address: Address): string {
  switch (address.kind) {
    case "broadcast":
      return address.to === undefined
        ? "all decoders"
        : `all ${address.to === "accessory" ? "accessory" : "multi-function"} decoders`;
    case "accessory": {
      const { number, output } = address;
      return `accessory decoder ${number}${output === undefined ? "" : `, output ${output}`}`;
    }
    case "accessory-output":
      return `accessory output address ${address.number}`;
    case "extended-accessory":
      return `extended accessory address ${address.number}`;
    default:
      return `${address.kind} address ${address.number}`;
  }
}

/**
 * Whether two addresses are the same: of the same kind, with the same numbers.
 * @param a One address.
 * @param b The other address.
 * @example
 * import { sameAddress } from "cvset/standard";
 * sameAddress({ kind: "primary", number: 3 }, { kind: "extended", number: 3 }); // false
 */
export function sameAddress(a: Address, b: Address): boolean {
  // The text holds everything that an address has.
  return addressText(a) === addressText(b);
}

/** What can be given where one decoder's address is needed; see {@link toAddress}. */
export type AddressLike =
  | number
  | Address
  | { readonly kind: "primary"; readonly number: number | "alternate-power" };

/**
 * The address that a value stands for: an address, a decoded address setting, or a bare number (1-127
 * primary, 128-10239 extended).
 *
 * S-9.2.2 (July 2012), CV 1, 17 and 18.
 * @param address The value.
 * @param path Where it stands, for the error.
 * @throws `CvError` when it is no address, out of range, or `"alternate-power"` (CV 1 = 0), which is none.
 * @example
 * import { toAddress } from "cvset/standard";
 * toAddress(1234); // { kind: "extended", number: 1234 }
 */
export function toAddress(address: AddressLike, path = "address"): Address {
  if (typeof address === "number") {
    checkNumber(address, 1, addressRanges.extended.max, path);
    return { kind: address <= addressRanges.primary.max ? "primary" : "extended", number: address };
  }
  const kind: unknown = (address as { kind?: unknown } | null | undefined)?.kind;
  if (kind === "broadcast") {
    const { to } = address as { to?: unknown };
    if (to === undefined || to === "multifunction" || to === "accessory") return address as Address;
    throw bad("option", `${path}.to`, "multifunction, accessory", to);
  }
  if (typeof kind !== "string" || !Object.hasOwn(addressRanges, kind)) {
    throw bad(
      "option",
      `${path}.kind`,
      `${Object.keys(addressRanges).join(", ")}, broadcast`,
      kind ?? address,
    );
  }
  const { number, output } = address as { number?: unknown; output?: unknown };
  const { min, max } = addressRanges[kind as Kind];
  checkNumber(number, min, max, `${path}.number`);
  if (kind === "accessory" && output !== undefined) checkNumber(output, 0, 7, `${path}.output`);
  return address as Address;
}

function checkNumber(found: unknown, min: number, max: number, path: string): void {
  if (Number.isInteger(found) && Number(found) >= min && Number(found) <= max) return;
  throw bad(
    typeof found === "number" ? "range" : "type",
    path,
    `a whole number from ${min} to ${max}`,
    found,
  );
}

function bad(code: Issue["code"], path: string, expected: string, found: unknown): CvError {
  return new CvError([
    { code, path, expected, found, clause: "S-9.2.2 (July 2012), CV 1, 9, 17 to 19 and 29" },
  ]);
}
