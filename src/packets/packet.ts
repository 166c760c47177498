import { aNumber, anyNumber, listOf, need } from "../cv/argument.js";
import { CvError, fault } from "../cv/issue.js";

const badText = /* @__PURE__ */ fault(
  "packet-text",
  'expected pairs of hexadecimal digits with one space between them, as in "7C 10 C4 A8", got {found}',
);
const badLength = /* @__PURE__ */ fault(
  "packet-length",
  "expected {min} to {max} bytes, error byte included, got {found}",
);
const badByte = /* @__PURE__ */ fault(
  "packet-byte",
  "byte {number}: expected a whole number from 0 to 255, got {found}",
);
const badErrorByte = /* @__PURE__ */ fault(
  "error-byte",
  "the error byte must be {expected:text}, the XOR of the bytes before it, and is {found:text}",
);

/** The bytes of a DCC packet in the order of sending, the error byte included. Each is 0-255. */
export type Packet = readonly number[];

/** The path of the issues of a packet. */
const path = "packet";

const hexDigits = /* @__PURE__ */ "0123456789ABCDEF";

/** One byte as two hexadecimal digits. */
export function byteText(byte: number): string {
  return (hexDigits[byte >> 4] as string) + (hexDigits[byte & 15] as string);
}

/**
 * A packet as text: two hexadecimal digits a byte, a space between the bytes.
 * @param packet The bytes.
 * @example
 * import { packetText } from "cvset/packets";
 * packetText([0x7c, 0x10, 0xc4, 0xa8]); // "7C 10 C4 A8"
 */
export function packetText(packet: Packet): string {
  need(someNumbers, packet, "packet");
  let text = "";
  for (const byte of packet) text += text === "" ? byteText(byte) : ` ${byteText(byte)}`;
  return text;
}

/**
 * The bytes of a packet from its text. Length and error byte are not checked here;
 * {@link parseServicePacket} and {@link parseTrackPacket} check them.
 * @param text Pairs of hexadecimal digits, a space between the pairs.
 * @throws `CvError` when the text is anything else.
 * @example
 * import { packetFromText } from "cvset/packets";
 * packetFromText("00 00 00"); // [0, 0, 0]
 */
export function packetFromText(text: string): Packet {
  if (typeof text !== "string" || !/^[0-9A-Fa-f]{2}( [0-9A-Fa-f]{2})*$/.test(text)) {
    throw new CvError([badText({ found: text }, { path })]);
  }
  return text.split(" ").map((pair) => Number.parseInt(pair, 16));
}

/**
 * The bytes with their error byte, the XOR of them all (S-9.2 (July 2004), general packet format; S-9.2.3 (July
 * 2012), section E).
 */
export function withErrorByte(bytes: readonly number[]): Packet {
  let error = 0;
  for (const byte of bytes) error ^= byte;
  return [...bytes, error];
}

/**
 * Checks the length, the bytes and the error byte of a packet.
 * @throws `CvError` that says which of them is wrong.
 */
export function checkPacket(packet: Packet, min: number, max: number): void {
  const { length } = packet;
  if (!(length >= min && length <= max))
    throw new CvError([badLength({ min, max, found: length }, { path })]);
  let xor = 0;
  for (let i = 0; i < length; i++) {
    const byte = packet[i] as number;
    if (!(byte >= 0 && byte <= 255 && (byte | 0) === byte)) {
      throw new CvError([badByte({ number: i + 1, found: byte }, { path })]);
    }
    xor ^= byte;
  }
  if (xor !== 0) {
    const error = packet[length - 1] as number;
    throw new CvError([badErrorByte({ expected: byteText(xor ^ error), found: byteText(error) }, { path })]);
  }
}

const someNumbers = /* @__PURE__ */ listOf(aNumber);

/** A list of bytes; how long it is, and whether each is a byte, is looked at where that matters. */
export const aPacket = /* @__PURE__ */ listOf(anyNumber);
