import { CvError, type Issue } from "../cv/index.js";

/** The bytes of a DCC packet in the order of sending, the error byte included; each is 0-255. */
export type Packet = readonly number[];

const hexDigits = /* @__PURE__ */ "0123456789ABCDEF";

/** One byte as two hexadecimal digits. */
export function byteText(byte: number): string {
  return (hexDigits[byte >> 4] as string) + (hexDigits[byte & 15] as string);
}

/**
 * A packet as people write it: two hexadecimal digits a byte, a space between.
 * @param packet The bytes.
 * @example
 * import { packetText } from "cvset/plan";
 * packetText([0x7c, 0x10, 0xc4, 0xa8]); // "7C 10 C4 A8"
 */
export function packetText(packet: Packet): string {
  let text = "";
  for (const byte of packet) text += text === "" ? byteText(byte) : ` ${byteText(byte)}`;
  return text;
}

/**
 * The bytes of a written packet. Length and error byte are judged where the packet is parsed.
 * @param text Pairs of hexadecimal digits, a space between.
 * @throws `CvError` when the text is anything else.
 * @example
 * import { packetFromText } from "cvset/plan";
 * packetFromText("00 00 00"); // [0, 0, 0]
 */
export function packetFromText(text: string): Packet {
  if (!/^[0-9A-Fa-f]{2}( [0-9A-Fa-f]{2})*$/.test(text)) {
    throw new CvError([packetIssue('pairs of hexadecimal digits, as in "7C 10 C4 A8"', text)]);
  }
  return text.split(" ").map((pair) => Number.parseInt(pair, 16));
}

/** The bytes with their error byte, the XOR of them all (S-9.2, July 2004; S-9.2.3, July 2012). */
export function withErrorByte(bytes: readonly number[]): Packet {
  let error = 0;
  for (const byte of bytes) error ^= byte;
  return [...bytes, error];
}

/**
 * Checks the length, the bytes and the error byte of a packet.
 * @throws `CvError` that says which of them is wrong.
 */
export function checkPacket(packet: Packet, shortest: number, longest: number): void {
  const { length } = packet;
  if (length < shortest || length > longest) {
    throw new CvError([
      packetIssue(`the length must be ${shortest} to ${longest} bytes, error byte included`, length),
    ]);
  }
  let xor = 0;
  for (let i = 0; i < length; i++) {
    const byte = packet[i] as number;
    if (!(byte >= 0 && byte <= 255 && (byte | 0) === byte)) {
      throw new CvError([packetIssue(`byte ${i + 1} must be a whole number from 0 to 255`, byte)]);
    }
    xor ^= byte;
  }
  if (xor !== 0) {
    const error = packet[length - 1] as number;
    throw new CvError([
      packetIssue(
        `the error byte must be ${byteText(xor ^ error)}, the XOR of the bytes before it`,
        byteText(error),
      ),
    ]);
  }
}

/** The issue that says what is wrong with a packet. */
export function packetIssue(expected: string, found?: unknown, clause?: string): Issue {
  return {
    code: "content",
    path: "packet",
    expected,
    ...(found === undefined ? {} : { found }),
    ...(clause ? { clause } : {}),
  };
}

/** Throws with the reserved or unknown pattern that a byte of a packet shows. */
export function badPattern(byte: number, what: string, clause: string): never {
  throw new CvError([packetIssue(`${byteText(byte)} ${what}`, undefined, clause)]);
}

/** Checks a number that goes into a packet, and gives it back. @throws `CvError` outside its range. */
export function checked(name: string, value: number, low: number, high: number, clause?: string): number {
  if (!(value >= low && value <= high && Number.isInteger(value))) {
    throw new CvError([
      {
        code: "range",
        path: name,
        expected: `a whole number from ${low} to ${high}`,
        found: value,
        ...(clause ? { clause } : {}),
      },
    ]);
  }
  return value;
}
