import { fitting, listOf, made, need, type Wanted } from "./argument.js";
import { missingCv, notAByte } from "./faults.js";
import type { CvReader, CvWriter } from "./image.js";
import { CvError, fault } from "./issue.js";
import {
  type CvName,
  firstIndexed,
  lastCv,
  lastIndexed,
  nameOf,
  numberOf,
  pagedKey,
  pageOf,
  toKey,
} from "./name.js";
import { type BitsOfCv, isBitsOfCv, placesInWords } from "./places-text.js";

const tooWide = /* @__PURE__ */ fault("place-width", "a value has at most 32 bits, got {found}");
const bitTwice = /* @__PURE__ */ fault("place-bit-twice", "the same bit is there twice");
const tooLarge = /* @__PURE__ */ fault("place-value", "expected a whole number from 0 to {max}, got {found}");
const badBits = /* @__PURE__ */ fault(
  "place-bit-range",
  "expected two bits from 0 to 7, the lower first, got {low} and {high}",
);
const badRun = /* @__PURE__ */ fault(
  "place-run",
  "expected this CV or a later one of the same page as the end of the run, got {found}",
);
const badPage = /* @__PURE__ */ fault(
  "index-page",
  "expected two numbers from 0 to 255, for CV 31 and CV 32, got {high} and {low}",
);
const notOnPage = /* @__PURE__ */ fault(
  "index-page-cv",
  "expected a CV of an index page, 257 to 512, got {found}",
);

const notAPlace = /* @__PURE__ */ fault(
  "not-a-place",
  "expected a place, such as cv(29).bit(5), got {found}",
);
const notARun = /* @__PURE__ */ fault(
  "not-a-run",
  "expected a run of CVs, such as cv(67).through(94), got {found}",
);

const notAReader = /* @__PURE__ */ fault(
  "not-a-reader",
  "expected what a codec gets to read from, with a function get, got {found}",
);
const notAWriter = /* @__PURE__ */ fault(
  "not-a-writer",
  "expected what a codec gets to write to, with a function put, got {found}",
);

const notBits = /* @__PURE__ */ fault(
  "not-bits-of-a-cv",
  "expected bits of a CV, an object with cv as a text and mask as a number, got {found}",
);
const somePlaces = /* @__PURE__ */ listOf(/* @__PURE__ */ fitting(isBitsOfCv, notBits));

/** A place, of any copy of this library. */
export const aPlace: Wanted = /* @__PURE__ */ made(["Place", "BytePlace"], notAPlace);
/** A run of CVs, of any copy of this library. */
export const aRun: Wanted = /* @__PURE__ */ made(["Run"], notARun);

/** The number of a bit; 0 is the least significant, as in S-9.2.2 (July 2012), CV 29. */
export type Bit = 0 | 1 | 2 | 3 | 4 | 5 | 6 | 7;

/** A run of bits within one CV. */
export interface Part {
  /** The CV's key: its number, or a larger integer for a CV of an index page. */
  readonly key: number;
  /** The lowest bit, 0-7. */
  readonly low: number;
  /** How many bits, 1-8. */
  readonly width: number;
}

/** A place as JSON: the shape in which decoder descriptions write it. */
export type PlaceJson =
  | CvName
  | {
      readonly cv: CvName;
      readonly bit?: number;
      readonly bits?: readonly [low: number, high: number];
      readonly through?: number;
      readonly with?: PlaceJson;
    };

/** The bits that one value lives in: one run of bits, or several joined, most significant first. */
export class Place {
  /** The name of its class, the same in every copy of this library. */
  get "~cvset"(): "Place" | "BytePlace" {
    return "Place";
  }
  /** @internal The runs of bits, most significant first. */
  readonly parts: readonly Part[];
  /** How many bits in all, 1-32. */
  readonly width: number;

  /** @internal Use {@link cv} and {@link page}. */
  constructor(parts: readonly Part[]) {
    this.parts = Object.freeze(parts.map((part) => Object.freeze({ ...part })));
    this.width = parts.reduce((sum, part) => sum + part.width, 0);
    if (this.width > 32) throw new CvError([tooWide({ found: this.width }, { places: this.bitsOfCvs })]);
    const masks = new Map<number, number>();
    for (const part of parts) {
      const mask = maskOf(part);
      if ((masks.get(part.key) ?? 0) & mask) throw new CvError([bitTwice({}, { places: this.bitsOfCvs })]);
      masks.set(part.key, (masks.get(part.key) ?? 0) | mask);
    }
    if (new.target === Place) Object.freeze(this);
  }

  /** The largest number that fits. */
  get max(): number {
    return 2 ** this.width - 1;
  }

  /**
   * This place with another as its less significant part.
   * @param low The less significant part.
   * @throws `CvError` when the two share a bit or have more than 32 bits together.
   * @example
   * import { cv } from "cvset";
   * String(cv(17).with(cv(18))); // "CV 17, CV 18"
   */
  with(low: Place): Place {
    need(aPlace, low, "low");
    return new Place([...this.parts, ...low.parts]);
  }

  /**
   * The number stored here, 0 to {@link max}.
   * @throws `CvError` when a CV is absent.
   */
  read(cvs: CvReader): number {
    if (typeof cvs?.get !== "function") throw new CvError([notAReader({ found: cvs }, { path: "cvs" })]);
    let value = 0;
    for (const { key, low, width } of this.parts) {
      const byte = cvs.get(key);
      if (!(byte >= 0)) throw noByte(key, byte);
      value = value * 2 ** width + ((byte >> low) & (2 ** width - 1));
    }
    return value;
  }

  /**
   * Stores a number.
   * @param cvs Where to.
   * @param value A whole number from 0 to {@link max}.
   * @throws `CvError` when it does not fit.
   */
  write(cvs: CvWriter, value: number): void {
    if (typeof cvs?.put !== "function") throw new CvError([notAWriter({ found: cvs }, { path: "cvs" })]);
    if (!Number.isInteger(value) || value < 0 || value > this.max) {
      throw new CvError([tooLarge({ max: this.max, found: value })]);
    }
    let rest = value;
    for (let i = this.parts.length - 1; i >= 0; i--) {
      const part = this.parts[i] as Part;
      const size = 2 ** part.width;
      cvs.put(part.key, maskOf(part), (rest % size) << part.low);
      rest = Math.floor(rest / size);
    }
  }

  /** The bits, CV by CV. */
  get bitsOfCvs(): readonly BitsOfCv[] {
    return Object.freeze(
      this.parts.map((part) => Object.freeze({ cv: nameOf(part.key), mask: maskOf(part) })),
    );
  }

  /** `CV 29 bit 5`. */
  toString(): string {
    return placesInWords(this.bitsOfCvs);
  }

  /** The place as decoder descriptions write it. */
  toJSON(): PlaceJson {
    const [first, ...rest] = this.parts as [Part, ...Part[]];
    const { key, low, width } = first;
    const name = nameOf(key);
    const at = key <= lastCv ? key : name;
    const bits = width === 8 ? {} : width === 1 ? { bit: low } : { bits: [low, low + width - 1] as const };
    if (rest.length) return { cv: at, ...bits, with: new Place(rest).toJSON() };
    return width === 8 ? at : { cv: at, ...bits };
  }
}

/** The whole byte of one CV, from which bits, pairs and runs are taken. */
export class BytePlace extends Place {
  /** The name of its class, the same in every copy of this library. */
  override get "~cvset"(): "BytePlace" {
    return "BytePlace";
  }
  /** @internal The CV's key. */
  readonly key: number;

  /** @internal Use {@link cv} and {@link page}. */
  constructor(key: number) {
    super([{ key, low: 0, width: 8 }]);
    this.key = key;
    Object.freeze(this);
  }

  /**
   * One bit.
   * @param bit Its number; 0 is the least significant.
   * @example
   * import { cv } from "cvset";
   * String(cv(29).bit(5)); // "CV 29 bit 5"
   */
  bit(bit: 0 | 1 | 2 | 3 | 4 | 5 | 6 | 7): Place {
    return this.bits(bit, bit);
  }

  /**
   * A run of bits.
   * @param low The lowest bit, 0-7.
   * @param high The highest bit, `low`-7; included.
   * @throws `CvError` when `low` is above `high` or either is not 0-7.
   * @example
   * import { cv } from "cvset";
   * cv(150).bits(0, 2).max; // 7
   */
  bits(low: 0 | 1 | 2 | 3 | 4 | 5 | 6 | 7, high: 0 | 1 | 2 | 3 | 4 | 5 | 6 | 7): Place {
    if (!(Number.isInteger(low) && Number.isInteger(high) && 0 <= low && low <= high && high <= 7)) {
      throw new CvError([badBits({ low, high }, { places: this.bitsOfCvs })]);
    }
    return new Place([{ key: this.key, low, width: high - low + 1 }]);
  }

  /**
   * The run of CVs from this one to another, both included.
   * @param last The number of the last CV; on the same page.
   * @throws `CvError` when it does not follow this CV, or leaves its page.
   * @example
   * import { cv } from "cvset";
   * cv(67).through(94).places.length; // 28
   */
  through(last: number): Run {
    const first = numberOf(this.key);
    if (
      !Number.isInteger(last) ||
      last < first ||
      last > lastCv ||
      (pageOf(this.key) >= 0 && last > lastIndexed)
    ) {
      throw new CvError([badRun({ found: last }, { places: this.bitsOfCvs })]);
    }
    const places: BytePlace[] = [];
    const lastKey = this.key + last - first;
    for (let key = this.key; key <= lastKey; key++) places.push(new BytePlace(key));
    return new Run(places);
  }
}

/** A run of CVs, one after the other. */
export class Run {
  /** The name of its class, the same in every copy of this library. */
  get "~cvset"(): "Run" {
    return "Run";
  }
  /** One whole byte each, lowest CV first. */
  readonly places: readonly BytePlace[];

  /** @internal Use {@link BytePlace.through}. */
  constructor(places: readonly BytePlace[]) {
    this.places = Object.freeze([...places]);
    Object.freeze(this);
  }

  /** `CV 67-94`. */
  toString(): string {
    const [first, last] = endsOf(this);
    return `CV ${nameOf(first)}-${nameOf(last)}`;
  }

  /** The run as decoder descriptions write it. */
  toJSON(): PlaceJson {
    const [first, last] = endsOf(this);
    return { cv: first <= lastCv ? first : nameOf(first), through: numberOf(last) };
  }
}

function endsOf({ places }: Run): [number, number] {
  return [(places[0] as BytePlace).key, (places.at(-1) as BytePlace).key];
}

/**
 * The place of a whole CV.
 * @param name Its number, 1-1024; or as text, `"29"` or `"300@16.0"`.
 * @throws `CvError` when it names no CV.
 * @example
 * import { cv } from "cvset";
 * String(cv(29)); // "CV 29"
 */
/* @__NO_SIDE_EFFECTS__ */
export function cv(name: CvName): BytePlace {
  return new BytePlace(toKey(name));
}

/**
 * An index page (S-9.2.2 (July 2012), CV 31, 32 and 257-512): its `cv` gives the place of one of its CVs,
 * 257-512. Pages below 16.0 are reserved for the NMRA.
 * @param high The value of CV 31, 0-255.
 * @param low The value of CV 32, 0-255.
 * @throws `CvError` when either is not a byte; `cv` when a number is not 257-512.
 * @example
 * import { page } from "cvset";
 * String(page(16, 0).cv(300)); // "CV 300@16.0"
 */
/* @__NO_SIDE_EFFECTS__ */
export function page(
  high: number,
  low: number,
): {
  /** The place of a CV of the page, 257-512. */
  readonly cv: (number: number) => BytePlace;
} {
  for (const byte of [high, low]) {
    if (!Number.isInteger(byte) || byte < 0 || byte > 255) {
      throw new CvError([badPage({ high, low })]);
    }
  }
  return Object.freeze({
    cv(number: number) {
      if (!Number.isInteger(number) || number < firstIndexed || number > lastIndexed) {
        throw new CvError([notOnPage({ found: number })]);
      }
      return new BytePlace(pagedKey(number, high, low));
    },
  });
}

/** A reader of the caller's, such as a CV set, that gives no byte. */
function noByte(key: number, found: unknown): CvError {
  const where = { places: [{ cv: nameOf(key), mask: 255 }] };
  return new CvError([found === undefined ? missingCv({}, where) : notAByte({ found }, where)]);
}

/**
 * Bits in words: `CV 29 bit 5`, `CV 246 bits 5-7`, `CV 17, CV 67-94`.
 * @param places The bits, CV by CV.
 * @throws `CvError` when it is no list of bits.
 * @example
 * import { placesText } from "cvset";
 * placesText([{ cv: "29", mask: 32 }, { cv: "246", mask: 224 }]); // "CV 29 bit 5, CV 246 bits 5-7"
 */
export function placesText(places: readonly BitsOfCv[]): string {
  need(somePlaces, places, "places");
  return placesInWords(places);
}

/** The mask of a run of bits. */
export function maskOf({ low, width }: Part): number {
  return ((1 << width) - 1) << low;
}
