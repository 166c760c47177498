// What becomes of many texts, each with everything that is read and said: tests/files/golden/outcomes.txt.
// CVSET_UPDATE=1 writes it anew; read what changes, for a value that is read otherwise goes into a decoder.
import {
  type AnyFile,
  type FileResult,
  fileMessage,
  readAny,
  readMany,
  readSettings,
  writeCvSet,
} from "cvset/files";
import { describe, expect, test } from "vitest";
import { GoldenPage, updates } from "../support/golden.js";

const long = (text: string, length = 120): string => text.repeat(length);
const bytes = (...parts: (string | number)[]): Uint8Array =>
  Uint8Array.from(
    parts.flatMap((part) => (typeof part === "number" ? [part] : [...new TextEncoder().encode(part)])),
  );

const cvHeadings = (
  "cv cvs cv-no CV_num CV.number CV-Nr. CV-Nummer cv-numero No.CV NrCV N°CV Num-CV NumberCV NummerCV NumeroCV Numéro-de-CV " +
  "N.deCV N.dela.CV N.della.CV N.diCV N No Nr Num Number Nummer Numero CVx xCV Nox"
).split(" ");
const valueHeadings = (
  "val value Wert Valeur Waarde Valor Valore cv-val cvvalue cvwert valueCV valeur-de-CV valor.dela.cv valore.della.CV valore.diCV " +
  "Dec Decimal valuedec value-decimal Dez Dezimal Decimale Decimaal valCV xvalue values dezim"
).split(" ");

const texts: Readonly<Record<string, readonly (string | Uint8Array)[]>> = {
  "headings for CVs": cvHeadings.map((heading) => `${heading},value\n29,34`),
  "headings for values": valueHeadings.map((heading) => `cv,${heading}\n29,34`),
  "headings of a list": [
    "CV Value",
    "CV: Wert",
    "cv=val",
    "CV no. Value",
    "Value CV",
    "CV Value 2",
    "CV",
    "CV Value x",
    `CV Value${long(" ", 80)}`,
    "CV|Value",
    "Numéro de CV, Valeur",
  ].map((line) => `${line}\n29 34`),
  "headings of timed runs": [
    "level,seconds",
    "Step;MPH",
    "step\tkmh",
    "km/h|level",
    "level,speed",
    "step,level",
    "seconds,mph",
    " Level , Km/h ",
  ].map((line) => `${line}\n1,2`),
  "between CV and value": [
    "29 34",
    "29  34",
    "29=34",
    "29:34",
    "29,34",
    "29→34",
    "29->34",
    "29=>34",
    "29-34",
    "29 -34",
    "29- 34",
    "29 - 34",
    "29 – 34",
    "29 — 34",
    "29;34",
    "29 ; 34 # x",
    "29;34(x)",
    "29;34;x",
    "29;34 35",
    "29;0x22",
    "29;0b1;",
    "29;0xg",
    "29==34",
    "29=:34",
    "29/34",
    "29\t=\t34",
  ],
  "what a line begins with": [
    "> CV1=3",
    ">> CV1=3",
    "- CV1=3",
    "* CV1=3",
    "• CV1=3",
    "-CV1=3",
    "+ CV1=3",
    "1. CV1=3",
    " \t> - CV1=3",
    "> - > CV1=3",
  ],
  "what follows": [
    "CV1=3 (a) (b)",
    "CV1=3 (a",
    "CV1=3 (a(b))",
    "CV1=3,",
    "CV1=3, # x",
    "CV1=3, ; x",
    "CV1=3,,",
    "CV1=3 CV2=4 cv3:5",
    "CV1=3,CV2=4",
    "CV1=3 2=4",
    "CV1=3 2 4",
    "CV1=3;CV2=4",
    "CV1=3; 2=4",
    "CV1=3; 2,4",
    "CV1=3; CV 2",
    "CV1=3 # CV2=4",
    "CV1=3 CV",
    "CV1=3 (x), CV2=4 (y)",
  ],
  bits: [
    "CV29 bit 5 = 1",
    "CV29 bits 0-2 = 5",
    "CV29 BITS 0 - 2 = 5",
    "CV29 bit 0-7=9",
    "29 bit 1: 1, 29 bit 2: 0",
    "CV29 bit 8=1",
    "CV29 bits 3-1=1",
    "CV29 bits 0-2 = 0b101",
    "CV29 bits 0-2=9",
    "CV29 bit 5=x",
    "CV29bit 5=1",
    "CV29 bit=1",
    "CV0 bit 5=1",
    "CV29 bit 5",
    "CV29 bit 5 = 1\nCV29 bit 5 = 1",
    "CV29 bits 0-3 = 3\nCV29 bits 2-5 = 0",
    "CV29 bits 0-3 = 3\nCV29 bits 2-5 = 4",
    "CV29=7\nCV29 bits 0-2 = 7",
    "CV29 bits 4-7 = 0\nCV29 bits 0-3 = 9\nCV29=9",
    `CV29 bit ${long("9")}=1`,
  ],
  numbers: [
    "CV1=0",
    "CV1=255",
    "CV1=256",
    "CV1=00255",
    "CV1=0xFF",
    "CV1=0XfF",
    "CV1=0x1ff",
    "CV1=0b11111111",
    "CV1=0B1",
    "CV1=0b2",
    "CV1=0o7",
    "CV1=1e1",
    "CV1=.5",
    "CV1=5.",
    "CV1=+5",
    "CV1=-5",
    "CV1=1000",
    "CV1=0000",
    "CV1=0011",
    "CV1=1111",
    "CV1=011",
    "CV1=00000011",
    "CV1=000000011",
    "CV1=111111111",
    `CV1=${long("9")}`,
    `CV1=${long("x")}`,
    `CV1=${long("01")}`,
  ],
  "names of CVs": [
    "cv1=3",
    "CV 1=3",
    "CV#1=3",
    "CV # 1=3",
    "CV\u00a01=3",
    "CV\t#\t1=3",
    "CV-1=3",
    "CV0001=3",
    "CV1024=3",
    "CV1025=3",
    "CV0=3",
    "CV300@16.0=3",
    "CV300@016.000=3",
    "CV300@16=3",
    "CV300@16.256=3",
    "CV200@16.0=3",
    "CV513@16.0=3",
    "CV #x=3",
    `CV${long("9")}=3`,
    `${long("x")}=3`,
  ],
  labels: [
    "name: A\nCV1=3",
    "NAME = A b # c\nCV1=3",
    "Decoder:q-8;x\nCV1=3",
    "decoder: a ; b\nCV1=3",
    'name: "A \\"b\\" # c" # d\nCV1=3',
    'name: "A" b\nCV1=3',
    'name: "A\nCV1=3',
    'name: "A\\"\nCV1=3',
    'name: "A\\x"\nCV1=3',
    'name: ""\nCV1=3',
    "name:\nCV1=3",
    "name: # x\nCV1=3",
    "name: A\nname: A\nCV1=3",
    "name: A\nname: B\nCV1=3",
    "name A\nCV1=3",
    "nickname: A\nCV1=3",
    "- name: A\nCV1=3",
  ],
  "characters that look like line breaks": [
    " \u2028CV1=3",
    'CV,Value,R\n1,3,"a#\u2028b"',
    "CV1=3\u2028CV2=4",
    "CV1=3 \u2028 ",
    "\u2028CV1=3",
    "# a\u000bb\nCV1=3",
    "CV,Value\n1,3\u0085\n2,4\u0085x",
    'CV,Value\n1,"3\u2028"\n# a\u2028b',
    "CV1=3\u000c4",
  ],
  "nothing, and little": [
    "",
    " \n\t\n",
    "\ufeff",
    "# x",
    "\n\n  ; x\n",
    "CV,Value",
    "CV,Value\n\n",
    "{}",
    "{ }\n",
    "[]",
    "null",
    "true",
    "x",
    "a\nb\nc",
    "a\nb\nc\nd",
    "a\nb\nc\nd\nCV1=3",
    "a\nb\nc\nd\nname: x",
    "\0",
    "CV1=3\0",
  ],
  tables: [
    "CV,Value\n29,34,\n",
    "CV,Value\n 29 , 34 \n",
    "CV,Value\n29,34 # x, y\n",
    "CV,Value\n29,34 ;x\n",
    "CV,Value\n29,34#x\n",
    "CV;Value\n29;34;35\n",
    "CV;Value\n29;34 # x;y\n",
    "CV\tValue\n29\t\n",
    "CV,Value,Value\n29,34,35",
    "CV,CV,Value\n29,30,35",
    "Value,CV\n34,29\n35",
    "CV,Value,A,,B\n29,34,x,y,z",
    "a,CV,b,Value\n1,29,2,34\n,,,\n1\n1,30",
    '"29","34"',
    '"29","34"\n30,35',
    '"29";"34";"35"\n',
    '"CV","Value"\n"29","34"x\n',
    'CV,Value\n"29',
    "CV,Value\n29,34\n29,34\n29,35",
    "CV,Value\nCV29,0x22\ncv#30,0b1\n300@16.0,7",
    "CV,Value\n29,0110",
    `CV,Value,${long("r")}\n${long("9")},${long("x")}`,
    "# x\nCV,Value\n29,34",
    "CV,Value\n# x\n;y\n29,34",
    "CV;Value\n;34\n# x",
    "CV,Value\n31,16\n32,0\n300,7\n301,8",
  ],
  "Markdown tables": [
    "|CV|Value|\n|-a|-b|",
    "|CV|Value|\n|x-|y-|",
    "|CV|Value|\n|--|--|\n|29|34|",
    "CV|Value\n:-:|-:\n29|34",
    "| CV | Value | What |\n|---|---|---|\n| **29** | `34` | a_b |\n| _30_ | *35* | \\| |",
    "| my_note | CV | Value |\n|-|-|-|\n| x | 29 | 34 |",
    "|CV|Value|\n|-|-|\n|29|\n|29|34|35|\n| # x | y |\n||\n|30|**\n",
    "|CV|Value|\n|29|34 # x|\n|30|35|# y|",
    "  | CV | Value |\n  | 29 | 34 |",
    "|CV|Value|\n|-|x|",
  ],
  "JSON of CVs": [
    '{"1":3}',
    '{"cvs":{"1":3}}',
    '{"cvs":[]}',
    '{"cvs":null,"bits":[]}',
    '{"1":256}',
    '{"1":"3"}',
    '{"1":"x"}',
    '{"1":3.0}',
    '{"1":03}',
    '{"1":1e1}',
    '{"1":-0}',
    '{"1":1000}',
    '{"1":1.5}',
    '{"1":[3]}',
    '{"1":{"a":1}}',
    '{"1":true,"2":null}',
    `{"1":${long("9", 20)}}`,
    `{"1":0.${long("1")}}`,
    '{"CV1":3}',
    '{"cv 1":3,"2":4}',
    '{"01":3}',
    '{"1":3,"1":4}',
    '{"cvs":{"1":3,"1":4}}',
    '{"1":3,"name":"A"}',
    '{"1":3,"nmae":"A"}',
    '{"1":3,"xyz":2}',
    '{"front1":3}',
    '{"a":1,"1":3}',
    '{"cv":3}',
    '{"stteings":{}}',
    '{"zzz":1}',
    `{"${long("z")}":1}`,
    `{"1":3,"${long("z")}":1}`,
    '{"300":1,"31":16,"32":2}',
    '{"cvs":{},"cvs":{}}',
  ],
  "JSON of bits": [
    '{"bits":[{"cv":"29","mask":32,"value":32}]}',
    '{"bits":{}}',
    '{"bits":[{"cv":29,"mask":1,"value":1},{"cv":"29","mask":1,"value":1}]}',
    '{"bits":[{"cv":"29","mask":1,"value":1},{"cv":"29","mask":3,"value":2}]}',
    '{"bits":[{"cv":"29","mask":0,"value":0}]}',
    '{"bits":[{"cv":"29","mask":1,"value":2}]}',
    '{"bits":[3]}',
    '{"cvs":{"29":6},"bits":[{"cv":"29","mask":4,"value":4}]}',
    '{"cvs":{"29":6},"bits":[{"cv":"29","mask":4,"value":0}]}',
    '{"bits":[{"cv":"300@16.0","mask":16,"value":16}],"name":"A"}',
  ],
  "what else a file has": [
    '{"$schema":"s","decoder":"d","name":"n","note":"r","silence":[1],"cvs":{}}',
    '{"cvs":{},"name":""}',
    '{"cvs":{},"name":3,"note":null,"decoder":{},"$schema":[]}',
    '{"cvs":{},"toString":1}',
    '{"cvs":{},"Name":"A"}',
    '{"cvs":{},"setings":1}',
    ...["within", "unreached", "lines", "issues", "report"].map((key) => `{"cvs":{"1":3},"${key}":1,"x":2}`),
    `{"cvs":{},"lines":1,"${long("x")}":1}`,
    `{"cvs":{},"${long("x")}":1}`,
  ],
  settings: [
    '{"settings":{}}',
    '{"settings":{"a":1,"b":[1,2],"c":{"d":null}},"name":"N","silence":[]}',
    '{"settings":[]}',
    '{"settings":3}',
    '{"settings":null}',
    '{"settings":{},"cvs":{}}',
    '{"settings":{"a":9007199254740993}}',
    '{"settings":{"a":[1,{"b":1e999}]}}',
    '{"settings":{"a":-9007199254740991,"b":1e300,"c":0.1}}',
    `{"settings":{"a":${long("9")}}}`,
    `{"settings":{"${long("k")}":1e999}}`,
    '{"settings":{},"within":1,"x":2}',
    '{"settings":{"__proto__":1}}',
  ],
  "other kinds": [
    '{"features":{}}',
    '{"steps":[]}',
    '{"runs":[]}',
    '{"findings":[]}',
    '{"changes":[]}',
    '{"mismatches":[]}',
    '{"locomotives":[]}',
    '{"locomotives":{}}',
    '{"locomotives":[{"name":"A"}]}',
    '{"locomotives":[3,{"cvs":{"1":3}}]}',
    '{"locomotives":[{"cvs":{"1":3}},{"name":"B","cvs":{"1":4}},{"settings":{}}],"unit":"mph"}',
    '{"locomotives":[{"bits":[{"cv":"29","mask":1,"value":1}]}],"locomotives":[{"cvs":{}}]}',
    '[{"level":1}]',
    '[{"step":1}]',
    '[{"x":1}]',
    "[[]]",
    "[3]",
    '[null,{"step":1}]',
    "{}{}",
    '{"1":3}\n{"1":4}',
    '{"1":3',
    '{"1":}',
    "{'1':3}",
  ],
  bytes: [
    bytes("CV1=3\xe9"),
    bytes(0xef, 0xbb, 0xbf, "CV1=3"),
    bytes("CV1=3 # ", 0xe9, "\nCV2=", 0xff, "\n"),
    bytes('{"1":999,"name":"', 0xfc, '"}'),
    bytes(0xff, 0xfe, 67, 0),
    bytes(0xfe, 0xff, 0, 67),
    bytes(67, 0, 86, 0),
    bytes(0, 67, 0, 86),
    bytes("C"),
    bytes(),
    bytes("\u{1f682}"),
    bytes(0xf0, 0x9f, 0x9a),
  ],
};

/** Everything that is read and said, in a few lines. */
function outcome(result: FileResult<AnyFile>): string {
  const { value } = result;
  const lines: string[] = [];
  if (value) {
    const { kind, locate: _, at: __, ...rest } = value as AnyFile & Record<string, unknown>;
    const shown = JSON.stringify(rest);
    lines.push(
      `${result.ok ? "" : "in spite of it "}${kind} ${shown.length > 300 ? `${shown.slice(0, 300)}...` : shown}`,
    );
    const cvs = value.kind === "cvs" ? [...value.cvs].map(([cv]) => cv) : [];
    const places = cvs.map((cv) => (value.kind === "cvs" ? value.locate(cv) : undefined));
    if (places.length)
      lines.push(`places ${places.map((place) => `${place?.line}:${place?.column}`).join(" ")}`);
  }
  for (const issue of [...(result.ok ? [] : result.issues), ...result.notes]) {
    const { code, severity, params, file, line, column, text: _, places, path, source, ...more } = issue;
    expect(more).toEqual({});
    lines.push(
      `${fileMessage(issue)}`,
      `  ${[code, severity, path, file, source].filter((part) => part).join(" ")} ${JSON.stringify({ ...params, ...(places && { places }) })}`,
    );
  }
  return lines.map((line) => `  ${line}\n`).join("");
}

const shown = (text: string | Uint8Array): string =>
  typeof text === "string" ? JSON.stringify(text) : [...text].map((byte) => byte.toString(16)).join(" ");

describe("what becomes of a text", () => {
  const groups = Object.entries(texts).map(([title, all]): [string, string] => [
    title,
    all.map((text) => `${shown(text)}\n${outcome(readAny(text, { file: "f" }))}`).join(""),
  ]);
  const page = new GoldenPage(new URL("golden/outcomes.txt", import.meta.url));
  test.each(groups)("%s", (title, text) => {
    page.expectSection(title, text);
  });

  test.runIf(updates)("is written anew", () => page.write());
});

test("the first thousand errors and notes are listed, and the others counted", () => {
  const wrong = readAny(Array.from({ length: 1003 }, () => "CV1=999").join("\n"), { file: "f" });
  if (wrong.ok) throw new Error("accepted");
  expect(wrong.issues.length).toBe(1001);
  expect(wrong.issues.at(-1)).toEqual({
    ...{ code: "more-errors", severity: "error", path: "", file: "f", line: 1000, column: 5 },
    text: "{count} more errors are not listed; the first {kept} are",
    params: { count: 3, kept: 1000 },
  });
  const again = readAny(Array.from({ length: 1003 }, () => "CV1=9").join("\n"));
  expect([again.ok, again.notes.length, again.notes.at(-1)?.params]).toEqual([
    true,
    1001,
    { count: 2, kept: 1000 },
  ]);
  const exactly = readAny(Array.from({ length: 1000 }, () => "CV1=999").join("\n"));
  expect(exactly.ok || exactly.issues.length).toBe(1000);
});

test("names in lists are in quotes only where they need them", () => {
  const listed = (name: string): string => writeCvSet({ cvs: {}, name }, "list");
  expect(
    ["No. 9", "a b c", "a  b", " a", "a ", "a#b", "a;b", 'a"b', "\u00e9/(x)+1,2-3", "a=b"].map(listed),
  ).toEqual(
    [
      ...[
        "name: No. 9",
        "name: a b c",
        'name: "a  b"',
        'name: " a"',
        'name: "a "',
        'name: "a#b"',
        'name: "a;b"',
      ],
      ...['name: "a\\"b"', "name: \u00e9/(x)+1,2-3", 'name: "a=b"'],
    ].map((line) => `${line}\n`),
  );
});

describe("arguments", () => {
  const any = (value: unknown) => value as never;
  test.each<[call: () => unknown, says: string]>([
    [() => readAny(any(3)), "source: expected a text, bytes, or pieces of them one after the other, got 3"],
    [
      () => readAny(any(null)),
      "source: expected a text, bytes, or pieces of them one after the other, got null",
    ],
    [() => readAny(any({})), "source: expected a text, bytes, or pieces of them one after the other, got {}"],
    [() => readAny("", any(3)), "options: expected an object, got 3"],
    [() => readAny("", { file: any(3) }), "file: expected a text, got 3"],
    [() => readAny("", { maxLength: any("3") }), 'maxLength: expected a number, got "3"'],
    [() => readAny([any(3)]), "source: expected a text, bytes, or pieces of them one after the other, got 3"],
    [
      () => readMany(any(3)).next(),
      "source: expected a text, bytes, or pieces of them one after the other, got 3",
    ],
    [() => readMany("", { file: any(3) }).next(), "file: expected a text, got 3"],
    [
      () => fileMessage(any({})),
      'issue.severity: undefined is not an option; the options are "error", "note"',
    ],
    [() => fileMessage(any({ severity: "note", line: "1" })), 'issue.line: expected a number, got "1"'],
  ])("%#: %s", async (call, says) => {
    let message = "";
    try {
      await call();
    } catch (error) {
      message = (error as Error).message;
    }
    expect(message.split("\n")[0]).toBe(says);
  });

  test("issues that are placed are looked at", () => {
    for (const read of [
      readAny("CV1=3"),
      readSettings('{"settings":{}}'),
      readAny('{"steps":[]}'),
      readAny("level,seconds"),
    ]) {
      expect(() => read.value?.at([any({ code: 3 })])).toThrow("issues.0");
    }
  });
});
