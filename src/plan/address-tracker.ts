import type { Address, KnownCvs } from "../standard/address.js";
import { accessoryAddressInUse, addressInUse, cvsOfAddress } from "../standard/address-in-use.js";
import { plainKey, type Write } from "./write.js";

/** The address that a decoder answers to on the main, and what is known of the CVs that it depends on. */
export interface TrackedAddress {
  /** The address; undefined when it cannot be known. */
  readonly address: Address | undefined;
  readonly cvs: KnownCvs;
  /** CV 17, written and not yet in force; `byte` is undefined when some of its bits are not known. */
  readonly pending?: { readonly byte: number | undefined };
}

/**
 * The state before the first write.
 * @param address The address that the decoder answers to.
 * @param cvs What it holds, as far as that is known; the address adds to it.
 */
export function trackedAddress(address: Address, cvs: KnownCvs): TrackedAddress {
  switch (address.kind) {
    case "primary":
    case "extended": {
      let known = cvs;
      for (const [cv, value] of cvsOfAddress(address)) known = withByte(known, cv, value);
      return { address, cvs: known };
    }
    case "accessory":
      // Without CV 29, the address is taken as it was given: CV 1 has its low six bits, CV 9 its high three.
      return cvs.get(29) === undefined
        ? { address, cvs: accessoryCvs(cvs, 128, address.number & 63, address.number >> 6) }
        : { address, cvs };
    case "accessory-output":
      return cvs.get(29) === undefined
        ? { address, cvs: accessoryCvs(cvs, 192, address.number & 255, address.number >> 8) }
        : { address, cvs };
    default:
      return { address, cvs };
  }
}

function accessoryCvs(cvs: KnownCvs, configuration: number, low: number, high: number): KnownCvs {
  return withByte(withByte(withByte(cvs, 29, configuration), 1, low), 9, high);
}

/**
 * The state after a write (S-9.2.2, July 2012, CV 1, 9, 17, 18 and 29). CV 17 takes
 * effect when CV 18 is written (S-9.2.1, July 2012, note to Write Byte).
 * @param state The state before.
 * @param write The write.
 * @param clears Whether the write is to CV 1 and the decoder clears bit 5 of CV 29 with it.
 */
export function afterWrite(state: TrackedAddress, write: Write, clears = false): TrackedAddress {
  const { mask, value } = write;
  const key = plainKey(write.key, state.address?.kind.includes("accessory") ? "accessory" : "multifunction");
  if (![1, 9, 17, 18, 29].includes(key)) return state;
  const { address, pending } = state;
  const isMultifunction = address?.kind === "primary" || address?.kind === "extended";
  const old = key === 17 && pending ? pending.byte : state.cvs.get(key);
  const byte = mask === 255 ? value : old === undefined ? undefined : (old & ~mask) | value;
  if (key === 17 && isMultifunction) return { ...state, pending: { byte } };
  let { cvs } = state;
  if (key === 18 && pending) cvs = withByte(cvs, 17, pending.byte);
  cvs = withByte(cvs, key, byte);
  if (!address) return { address, cvs };
  if (!isMultifunction) return { address: nextAccessory(address, cvs), cvs };
  // CV 29 may not be known as a whole; its bit 5 is known by the address.
  const chosen = key === 29 && mask & 32 ? (value & 32) !== 0 : address.kind === "extended";
  const isExtended = chosen && !clears;
  // Once CV 18 is written, CV 17 holds what was pending.
  return { ...state, address: addressInUse(withByte(cvs, 29, isExtended ? 32 : 0)), cvs };
}

function nextAccessory(before: Address, cvs: KnownCvs): Address | undefined {
  const next = accessoryAddressInUse(cvs);
  // Packets to one output of a decoder stay with that output.
  return next?.kind === "accessory" && before.kind === "accessory" && before.output !== undefined
    ? { ...next, output: before.output }
    : next;
}

function withByte(cvs: KnownCvs, key: number, byte: number | undefined): KnownCvs {
  return { get: (cv) => (cv === key ? byte : cvs.get(cv)) };
}
