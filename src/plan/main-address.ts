import { CvError, fault, type Issue } from "../cv/issue.js";
import type { DecoderKind } from "../decoder/decoder.js";
import { isAccessory } from "../packets/accessory-packet.js";
import { mainAccessSource } from "../packets/address-bytes.js";
import { refuseShared } from "../packets/cv-access.js";
import { isBroadcast } from "../standard/accessory-output.js";
import type { Address, KnownCvs } from "../standard/address.js";
import {
  type AddressLike,
  accessoryAddressInUse,
  addressInUse,
  addressText,
  consistInUse,
  sameAddress,
  toAddress,
} from "../standard/address-in-use.js";
import { noteOn } from "./plan-note.js";
import type { Findings, PlanRequest } from "./plan-request.js";

const noAddress = /* @__PURE__ */ fault(
  "plan-address",
  "the decoder's address is needed on the main, and CV {cvs:text} do not give it",
);
const notOneDecoder = /* @__PURE__ */ fault(
  "not-one-decoder",
  "{address:text} cannot be the address of one decoder",
);
const wrongKind = /* @__PURE__ */ fault(
  "address-kind",
  "{address:text} is not an address of {kind:text} decoder",
);
const atConsist = /* @__PURE__ */ fault(
  "consist-address",
  "{found} is the address of the decoder's consist, where it obeys no CV access; give its own address",
);
const otherAddress = /* @__PURE__ */ fault(
  "other-address",
  "give {own:text}, but the packets go to {address:text}",
);

/** The CVs by which an address is the one in use. */
const decidingCvs: Readonly<Record<DecoderKind, readonly number[]>> = {
  multifunction: [1, 17, 18, 29],
  accessory: [1, 9, 29],
};

/** The address that a decoder answers to, by its CVs. */
export function ownAddress(cvs: KnownCvs, kind: DecoderKind): Address | undefined {
  return kind === "accessory" ? accessoryAddressInUse(cvs) : addressInUse(cvs);
}

/** The address to which the first packet on the main goes; undefined, with an issue, when there is none. */
export function mainAddress(
  { known, kind }: PlanRequest,
  given: AddressLike | undefined,
): Findings & { readonly address: Address | undefined } {
  const own = ownAddress(known, kind);
  const refused = (...issues: Issue[]) => ({ address: undefined, issues, notes: [] });
  const shared = (address: Address) =>
    refused(notOneDecoder({ address: addressText(address) }, { path: "address" }));
  if (given === undefined) {
    if (own && isBroadcast(own)) return shared(own);
    if (own) return { address: own, issues: [], notes: [] };
    return refused(noAddress({ cvs: decidingCvs[kind].join(", ") }, { path: "address" }));
  }
  let address: Address;
  try {
    address = toAddress(
      // A bare number belongs to the kind of decoder.
      kind === "accessory" && typeof given === "number" ? { kind: "accessory", number: given } : given,
    );
    if (address.kind !== "broadcast") refuseShared(address, "address");
  } catch (error) {
    if (error instanceof CvError) return refused(...error.issues);
    throw error;
  }
  if (isBroadcast(address)) return shared(address);
  if (own && sameAddress(own, address)) return { address: own, issues: [], notes: [] };
  const path = "address";
  const text = addressText(address);
  if (isAccessory(address) !== (kind === "accessory")) {
    const article = kind === "accessory" ? "an accessory" : "a multi-function";
    return refused(wrongKind({ address: text, kind: article }, { path }));
  }
  const consist = kind === "multifunction" ? consistInUse(known) : undefined;
  if (address.kind === "primary" && address.number === consist?.number) {
    return refused(atConsist({ found: address.number }, { path, source: mainAccessSource }));
  }
  const notes = own
    ? noteOn(decidingCvs[kind], "warning", otherAddress, { own: addressText(own), address: text })
    : [];
  return { address, issues: [], notes };
}
