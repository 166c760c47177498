import { need } from "../cv/argument.js";
import type { CvsLike } from "../cv/cvset.js";
import { notAnOption, outOfRange } from "../cv/faults.js";
import { CvError, fault } from "../cv/issue.js";
import { outputAddressBits, withAliasesOf } from "./accessory-output.js";
import { type Address, addressRanges, anAddress, type KnownCvs, knownOf } from "./address.js";

type Kind = Exclude<Address["kind"], "broadcast">;

/** The address of a kind with a stored number; undefined when it is out of range. */
function within<K extends Kind>(kind: K, stored: number): { kind: K; number: number } | undefined {
  const { min, max, offset = 0 }: { min: number; max: number; offset?: number } = addressRanges[kind];
  const number = stored + offset;
  return number >= min && number <= max ? { kind, number } : undefined;
}

/**
 * The kind of address that a multi-function decoder answers to: CV 29 bit 5 (S-9.2.2 (July 2012), CV 29);
 * undefined when CV 29 is not known.
 */
export function addressKindOf(cvs: KnownCvs): "primary" | "extended" | undefined {
  const configuration = cvs.get(29);
  return configuration === undefined ? undefined : configuration & 32 ? "extended" : "primary";
}

/**
 * The address that a multi-function decoder answers to: CV 29 bit 5 chooses CV 1 or CV 17 and 18.
 *
 * S-9.2.2 (July 2012), CV 1, 17, 18 and 29 bit 5.
 * @param cvs The CVs, as far as they are known.
 * @returns The address; undefined when a CV that it depends on is not known, CV 1 is outside 1-127 (0 is the
 * alternate power source), or CV 17 is outside 192-231.
 * @example
 * import { CvSet } from "cvset";
 * import { addressInUse } from "cvset/standard";
 * addressInUse(CvSet.from({ 17: 196, 18: 210, 29: 34 })); // { kind: "extended", number: 1234 }
 */
export function addressInUse(
  cvs: KnownCvs | CvsLike,
): Extract<Address, { kind: "primary" | "extended" }> | undefined {
  const known = knownOf(cvs);
  const kind = addressKindOf(known);
  if (kind === "extended") return extendedAddressOf(known.get(17), known.get(18));
  const primary = kind && known.get(1);
  return primary === undefined ? undefined : within("primary", primary);
}

/** The extended address in CV 17 and 18, in use or not; undefined when they are not known or out of range. */
export function extendedAddressOf(
  high: number | undefined,
  low: number | undefined,
): Extract<Address, { kind: "extended" }> | undefined {
  return high === undefined || low === undefined ? undefined : within("extended", 256 * high + low);
}

/**
 * The CVs that hold the address of a multi-function decoder, in the order to write them, and their values; none for
 * another kind of address (S-9.2.2 (July 2012), CV 1, 17 and 18).
 */
export function cvsOfAddress(address: Address): [cv: number, value: number][] {
  if (address.kind === "primary") return [[1, address.number]];
  if (address.kind !== "extended") return [];
  const stored = address.number - addressRanges.extended.offset;
  return [
    [17, stored >> 8],
    [18, stored & 255],
  ];
}

/**
 * The CVs that hold an address of a decoder: its own, and that of its consist (S-9.2.2 (July 2012), CV 1, 9, 17, 18
 * and 19). What a CV of an accessory decoder has a second name for is here by its first.
 */
export const addressCvs: Readonly<Record<"multifunction" | "accessory", readonly number[]>> = {
  multifunction: [1, 17, 18, 19],
  accessory: [1, 9],
};

/**
 * The address that an accessory decoder answers to. CV 29 bit 6 chooses how CV 1 and 9 hold it: as a
 * decoder address or as an output address. CV 29 bit 5 chooses basic or extended packets. With extended
 * packets the address is that of the packet: four times the decoder address, or what the output address is
 * read as (see `accessoryAddress`).
 *
 * S-9.2.2 (July 2012), Table 3, CV 1, 9 and 29 bits 5 and 6; S-9.2.1 (July 2012), accessory packets.
 * @param cvs The CVs, as far as they are known. Where CV 1, 9 or 29 is not known, its alias (CV 513, 521,
 * 541) counts.
 * @returns The address; undefined when a CV that it depends on is not known, or when CV 1 and 9 are out of
 * range.
 * @example
 * import { CvSet } from "cvset";
 * import { accessoryAddressInUse } from "cvset/standard";
 * accessoryAddressInUse(CvSet.from({ 1: 5, 9: 1, 29: 128 })); // { kind: "accessory", number: 69 }
 * accessoryAddressInUse(CvSet.from({ 1: 5, 9: 1, 29: 160 })); // { kind: "extended-accessory", number: 276 }
 */
export function accessoryAddressInUse(
  cvs: KnownCvs | CvsLike,
): Extract<Address, { kind: "accessory" | "accessory-output" | "extended-accessory" }> | undefined {
  const known = withAliasesOf(knownOf(cvs));
  const configuration = known.get(29);
  const low = known.get(1);
  const high = known.get(9);
  if (configuration === undefined || low === undefined || high === undefined) return undefined;
  const stored =
    configuration & 64
      ? within("accessory-output", 256 * high + low)
      : // The bits that are no part of a decoder address count as its highest ones, so that they must be 0.
        within("accessory", ((high >> 3) << 11) | ((low >> 6) << 9) | ((high & 7) << 6) | (low & 63));
  if (!stored || !(configuration & 32)) return stored;
  const { kind, number: own } = stored;
  const number = kind === "accessory" ? 4 * own : outputAddressBits(own);
  return within("extended-accessory", number);
}

/**
 * The address of the consist that a decoder runs in: CV 19 bits 0-6.
 *
 * S-9.2.2 (July 2012), CV 19.
 * @param cvs The CVs, as far as they are known.
 * @returns The consist address; undefined when it is 0, no consist, or CV 19 is not known.
 * @example
 * import { CvSet } from "cvset";
 * import { consistInUse } from "cvset/standard";
 * consistInUse(CvSet.from({ 19: 160 })); // { kind: "consist", number: 32 }
 */
export function consistInUse(cvs: KnownCvs | CvsLike): Extract<Address, { kind: "consist" }> | undefined {
  const value = knownOf(cvs).get(19);
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
  need(anAddress, address, "address");
  switch (address.kind) {
    case "broadcast":
      return address.to === undefined
        ? "all decoders"
        : `all ${address.to === "accessory" ? "accessory" : "multi-function"} decoders`;
    case "accessory": {
      const { number, output } = address;
      return `accessory decoder address ${number}${output === undefined ? "" : `, output ${output}`}`;
    }
    case "accessory-output":
      return `accessory output address ${address.number}`;
    case "extended-accessory":
      return `extended accessory address ${address.number}`;
    default:
      return `${address.kind} address ${address.number}`;
  }
}

/** Whether two addresses are the same: of the same kind, with the same numbers. */
export function sameAddress(a: Address, b: Address): boolean {
  // The text shows every part of an address.
  return addressText(a) === addressText(b);
}

const notAWholeNumber = /* @__PURE__ */ fault(
  "expected-address-number",
  "expected a whole number from {min} to {max}, got {found}",
);

/**
 * One decoder's address as an argument: an address, a decoded address setting, or a bare number (1-127
 * primary, 128-10239 extended).
 */
export type AddressLike =
  | number
  | Address
  | { readonly kind: "primary"; readonly number: number | "alternate-power" };

/**
 * The address that an argument means.
 *
 * S-9.2.2 (July 2012), CV 1, 17 and 18.
 * @param address The argument.
 * @param path The path of the argument, for the error.
 * @throws `CvError` when it is not an address, a number is out of range, or it is `"alternate-power"` (CV 1
 * is 0: the decoder has no address).
 */
export function toAddress(address: AddressLike, path = "address"): Address {
  if (typeof address === "number") {
    checkNumber(address, 1, addressRanges.extended.max, path);
    return { kind: address <= addressRanges.primary.max ? "primary" : "extended", number: address };
  }
  // Callers in JavaScript may give anything.
  const { kind, number, output, to } = (address ?? {}) as Readonly<Record<string, unknown>>;
  if (kind === "broadcast") {
    if (to === undefined || to === "multifunction" || to === "accessory") return address as Address;
    throw badOption(to, ["multifunction", "accessory"], `${path}.to`);
  }
  if (typeof kind !== "string" || !Object.hasOwn(addressRanges, kind)) {
    throw badOption(kind ?? address, [...Object.keys(addressRanges), "broadcast"], `${path}.kind`);
  }
  const { min, max } = addressRanges[kind as Kind];
  checkNumber(number, min, max, `${path}.number`);
  if (kind === "accessory" && output !== undefined) checkNumber(output, 0, 7, `${path}.output`);
  return address as Address;
}

const source = "S-9.2.2 (July 2012), CV 1, 9, 17 to 19 and 29";

function checkNumber(found: unknown, min: number, max: number, path: string): void {
  if (!Number.isInteger(found)) throw new CvError([notAWholeNumber({ found, min, max }, { path })]);
  if (Number(found) >= min && Number(found) <= max) return;
  throw new CvError([outOfRange({ found, min, max, unit: "" }, { path, source })]);
}

function badOption(found: unknown, allowed: readonly string[], path: string): CvError {
  return new CvError([notAnOption({ found, allowed }, { path })]);
}
