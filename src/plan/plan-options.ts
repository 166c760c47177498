import type { AnyDecoder, DecoderKind } from "../decoder/decoder.js";
import type { AccessMode } from "../packets/access-mode.js";
import type { DecoderModel } from "../packets/decoder-model.js";
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
  /** The decoder: a CV that it does not have is an error. */
  readonly decoder?: AnyDecoder | DecoderModel;
  /** The kind of decoder; else it is the description's, else that of CV 29 bit 7. */
  readonly kind?: DecoderKind;
  /** Allows changes on the main to the CVs that hold addresses: CV 1, 17, 18, 19 (accessory: 1, 9). */
  readonly changeAddress?: boolean;
  /** Whether a factory reset comes first. What the decoder holds after it is taken from its description. */
  readonly factoryReset?: boolean;
}
