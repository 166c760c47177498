import { aBoolean, aText, objectOf } from "../cv/argument.js";
import { type AnyDecoder, aDecoderKind, type DecoderKind } from "../decoder/decoder.js";
import type { AccessMode } from "../packets/access-mode.js";
import { type DecoderModel, decoderOrModel } from "../packets/decoder-model.js";
import type { AddressLike } from "../standard/address-in-use.js";

/** How a plan is made. */
export interface PlanOptions {
  /** How the decoder is reached; `"direct"` unless given. */
  readonly mode?: AccessMode;
  /**
   * The decoder's address, on the main: an address, a decoded address setting, or a number (1-127 primary,
   * 128-10239 extended; of an accessory decoder 0-511). Needed there unless `from` has it.
   */
  readonly address?: AddressLike;
  /** Whether everything that the target holds is written, not only what differs. */
  readonly all?: boolean;
  /** The decoder. A CV that it does not have is an error, unless `undescribed` is given. */
  readonly decoder?: AnyDecoder | DecoderModel;
  /**
   * What to do with CVs that the decoder does not have by its description: `"refuse"` makes them an error,
   * `"leave-out"` does not write them, `"write"` writes them all the same. A note names the CVs.
   */
  readonly undescribed?: "refuse" | "leave-out" | "write";
  /** The kind of decoder; else it is the description's, else that of CV 29 bit 7. */
  readonly kind?: DecoderKind;
  /**
   * Allows changes on the main to what makes the address: CV 1, 17, 18, 19 and bit 5 of CV 29 (accessory: CV 1,
   * 9 and bits 5 and 6 of CV 29, and the aliases of these).
   */
  readonly changeAddress?: boolean;
  /** Whether a factory reset comes first. What the decoder holds after it is taken from its description. */
  readonly factoryReset?: boolean;
}

/** Options of a plan; mode, address and what to do with undescribed CVs are looked at where they are used. */
export const ofPlanning = /* @__PURE__ */ objectOf({
  "mode?": aText,
  "all?": aBoolean,
  "decoder?": decoderOrModel,
  "undescribed?": aText,
  "kind?": aDecoderKind,
  "changeAddress?": aBoolean,
  "factoryReset?": aBoolean,
});
