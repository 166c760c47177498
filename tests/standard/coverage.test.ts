import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { type AnyCodec, type DecoderKind, partsOf } from "cvset";
import { expect, test } from "vitest";
import { type CvRow, rowsOf } from "../../src/standard/tables.js";
import { codecNamed, everyCodec } from "./run-vectors.js";
import { type Group, groups, type Vector } from "./vectors.js";

// Makes docs/standard-coverage.md from the tables and the vectors. With CVSET_UPDATE=1 it is written;
// without, it must be the same as what is there.

const file = fileURLToPath(new URL("../../docs/standard-coverage.md", import.meta.url));

interface Covered {
  readonly group: string;
  readonly vector: Vector;
  /** Where the standard lays the vector down, as the vector or its group has it: not what the codec under test says. */
  readonly clause: string;
  readonly isOwn: boolean;
  /** The CVs that the vector's codec owns bits of. */
  readonly cvs: ReadonlySet<number>;
}

const covered = (kind: DecoderKind): Covered[] =>
  Object.entries(groups)
    .filter(([, group]) => group.kind === kind)
    .flatMap(([name, group]: [string, Group]) =>
      group.vectors.map((vector) => ({
        group: name,
        vector,
        clause: vector.source ?? group.source,
        isOwn: vector.source !== undefined,
        cvs: new Set(
          codecNamed(vector.codec)
            .bits.map(({ cv }) => Number(cv))
            .filter((cv) => cv in vector.cvs),
        ),
      })),
    );

const tableTest: Readonly<Record<DecoderKind, string>> = {
  multifunction: "s922-table1",
  accessory: "s922-table3",
};
const table: Readonly<Record<DecoderKind, string>> = {
  multifunction: "S-9.2.2 (July 2012), Table 1",
  accessory: "S-9.2.2 (July 2012), Table 3",
};
// Why a row has no codec.
const without: Readonly<Record<CvRow["status"], string>> = {
  defined: "none: another document lays the contents down",
  reserved: "none: `reservedUse` reports what is there",
  manufacturer: "none: each maker's own",
  indexed: "none: each maker's own, behind `page`",
};

interface Line {
  readonly cvs: string;
  readonly name: string;
  readonly codecs: string;
  readonly vectors: number;
  readonly tests: string;
  readonly clauses: string;
}

function lineOf(row: CvRow, kind: DecoderKind, first = row.cvs[0], last = row.cvs[1]): Line {
  // The aliases have lines of their own; in the table they lie within what is the maker's.
  const hits = covered(kind).filter(
    ({ vector, cvs }) =>
      (row.status !== "manufacturer" || !vector.codec.startsWith("accessoryAliases")) &&
      [...cvs].some((cv) => first <= cv && cv <= last),
  );
  const unique = (texts: string[]): string[] => [...new Set(texts)];
  const cvs = first === last ? `${first}` : `${first}-${last}`;
  // The standard has a paragraph for each CV; a group of vectors names those of all of its CVs.
  const clauses = hits.map(({ clause, isOwn }) =>
    isOwn ? clause : clause.replace(/(?<=\(July 2012\), (?:accessory )?CV ).*/, cvs),
  );
  const codecs = unique(hits.map(({ vector }) => `\`${vector.codec}\``));
  const tests = unique([...hits.map(({ group }) => group), tableTest[kind]]);
  if (row.status === "reserved") tests.push("s922-reserved");
  return {
    cvs,
    name: row.name || "Reserved",
    codecs: codecs.join(", ") || without[row.status],
    vectors: hits.length,
    tests: tests.map((name) => `${name}.test.ts`).join(", "),
    clauses: unique([...clauses, ...(hits.length ? [] : [table[kind]])]).join("; "),
  };
}

/** The rows of the table, and those of the aliases. */
function lines(kind: DecoderKind): Line[] {
  return rowsOf(kind).flatMap((row) => {
    const plain = lineOf(row, kind);
    if (row.alias === undefined) return [plain];
    const alias = lineOf(row, kind, row.alias, row.alias + row.cvs[1] - row.cvs[0]);
    return [plain, { ...alias, name: `${row.name} (alias)` }];
  });
}

function page(): string {
  const head = [
    "# What of the standard is covered",
    "",
    "Every CV of S-9.2.2 (July 2012), row by row, with the codecs that read and write it, and the vectors that",
    "check them. A vector is a value with its bytes, run both ways; the clause is where the document lays it down.",
    "`laws.test.ts` runs every codec of one CV through all 256 bytes, and each row is compared with the document's",
    "own table. A name such as `motor.kickStart` is a feature of a feature set or decoder; `speed.vmid` is a part of",
    "a codec, as `partsOf` gives it.",
    "",
    "This page is made by `tests/standard/coverage.test.ts`; `CVSET_UPDATE=1` writes it anew. The tests are in",
    "`tests/standard`.",
  ];
  const part = (title: string, kind: DecoderKind): string[] => [
    "",
    `## ${title}`,
    "",
    "| CV | Name | Codec | Vectors | Test | Clause |",
    "| --- | --- | --- | --: | --- | --- |",
    ...lines(kind).map(
      (line) =>
        `| ${line.cvs} | ${line.name} | ${line.codecs} | ${line.vectors} | ${line.tests} | ${line.clauses} |`,
    ),
  ];
  return [
    ...head,
    ...part("Multi-function decoders (Table 1)", "multifunction"),
    ...part("Accessory decoders (Table 3)", "accessory"),
    "",
  ].join("\n");
}

test("docs/standard-coverage.md is what the tests cover", () => {
  const made = page();
  if (process.env.CVSET_UPDATE === "1") writeFileSync(file, made);
  expect(readFileSync(file, "utf8").replaceAll("\r\n", "\n")).toBe(made);
});

test.each(["multifunction", "accessory"] as const)(
  "every defined CV of a %s decoder has a vector",
  (kind) => {
    const hit = new Set(covered(kind).flatMap(({ cvs }) => [...cvs]));
    const missing: number[] = [];
    for (const row of rowsOf(kind)) {
      if (row.status !== "defined" || row.cvs[0] === 896) continue;
      for (let cv = row.cvs[0]; cv <= row.cvs[1]; cv++) {
        if (!hit.has(cv)) missing.push(cv);
        if (row.alias !== undefined && !hit.has(cv - row.cvs[0] + row.alias)) missing.push(cv + 512);
      }
    }
    expect(missing).toEqual([]);
  },
);

/** The CVs that a citation names: `CV 3, 4 and 33-46` are 3, 4 and 33 to 46; a whole table names all. */
function namedCvs(citation: string): (cv: number) => boolean {
  if (/Table [13](?!.*CV)/.test(citation)) return () => true;
  const ranges = [...citation.matchAll(/CV (\d+(?:-\d+)?(?:(?:, (?:and )?| and )\d+(?:-\d+)?)*)/g)].flatMap(
    ([, list = ""]) =>
      [...list.matchAll(/(\d+)(?:-(\d+))?/g)].map(
        ([, low, high = low]) => [Number(low), Number(high)] as const,
      ),
  );
  return (cv) => ranges.some(([low, high]) => low <= cv && cv <= high);
}

test("what a codec cites names every CV that it reads, in the edition that the vectors are of", () => {
  const wrong = everyCodec().flatMap(([name, codec]) => {
    const { source } = codec.about;
    // The parts of a codec without a source have theirs.
    if (source === undefined || source.includes("common practice")) return [];
    const named = namedCvs(source);
    const other = codec.bits.filter(({ cv }) => !named(Number(cv)) && !named(Number(cv) - 512));
    const isDated = /^(S-9\.2\.2 \(July 2012\)|S-9\.3\.2 \(December 2012\))/.test(source);
    return other.length || !isDated ? [`${name}: ${source}, CV ${other.map(({ cv }) => cv).join()}`] : [];
  });
  expect(wrong).toEqual([]);
});

test("every codec has a vector, or all of its parts have one, and every group a test file that runs it", () => {
  const used = new Set(
    Object.values(groups).flatMap(({ vectors }) => vectors.map(({ codec }) => codecNamed(codec))),
  );
  const hasVector = (codec: AnyCodec): boolean => {
    const parts = Object.values(partsOf(codec)).flat();
    return used.has(codec) || (parts.length > 0 && parts.every(hasVector));
  };
  expect(everyCodec().flatMap(([name, codec]) => (hasVector(codec) ? [] : [name]))).toEqual([]);
  for (const name of Object.keys(groups)) {
    const path = fileURLToPath(new URL(`./${name}.test.ts`, import.meta.url));
    expect(existsSync(path) && readFileSync(path, "utf8")).toContain(`runVectors("${name}");`);
  }
});
