import type { AccessMode } from "./access.js";
import type { DecoderAddress } from "./address.js";
import type { DecoderLike, DecoderModel } from "./model.js";

/** How a plan is made. */
export interface PlanOptions {
  /** How the decoder is reached; `"direct"` unless given. */
  readonly mode?: AccessMode;
  /**
   * Whom to talk to on the main: 1-127 is a short address, above that a long one. Needed there unless
   * `from` says it.
   */
  readonly address?: number | DecoderAddress;
  /** Writes everything that the target holds, not only what differs. */
  readonly all?: boolean;
  /** The decoder, so that a CV that it does not have is found out before anything is sent. */
  readonly decoder?: DecoderLike;
  /** The kind of decoder; else it is the description's, else by CV 29 bit 7. */
  readonly kind?: DecoderModel["kind"];
  /** Allows changes to the CVs on the main that hold addresses: CV 1, 17, 18, 19 (accessory: 1, 9). */
  readonly changeAddress?: boolean;
  /** Asks for a factory reset first. What the decoder holds after it is known by its description only. */
  readonly factoryReset?: boolean;
}
