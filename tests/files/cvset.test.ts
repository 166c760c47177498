import { readFileSync } from "node:fs";
import { CvSet } from "cvset";
import { type CvSetFile, type FileResult, fileMessage, readCvSet, readSettings } from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { readJsonCvSet } from "../../src/files/cvsetfile.js";
import { Complaints } from "../../src/files/fileissue.js";
import { Lines } from "../../src/files/lines.js";
import { quickCvSet } from "../../src/files/quick.js";

/** Everything that was said of a text, errors then notes. */
function said(result: FileResult<unknown>): string[] {
  const issues = result.ok ? [] : result.issues;
  return [...issues, ...result.notes].map((issue) => fileMessage("f", issue));
}

function contentOf({ value }: FileResult<CvSetFile>) {
  if (!value) return undefined;
  const { cvs, locate: _, ...rest } = value;
  return { ...rest, cvs: cvs.toJSON() };
}

const byte = "it must be a whole number from 0 to 255";
const spelled = `${byte}, as in 34, 0x22 or 0b100010`;
const notCv = 'is not a CV; write a CV number from 1 to 1024, or "300@16.0" for a CV of an index page';
const example = "write one CV a line, as in CV29 = 34; remarks start with # or ;";

describe("spellings that are read", () => {
  const spellings: [text: string, cvs: Record<string, number>][] = [
    ["CV29=34", { 29: 34 }],
    ["CV 29: 34", { 29: 34 }],
    ["29,34", { 29: 34 }],
    ["29\t34", { 29: 34 }],
    ["29 34", { 29: 34 }],
    ["29\u00a0=\u00a034", { 29: 34 }],
    ["cv029 = 034", { 29: 34 }],
    ["CV#29 = 34", { 29: 34 }],
    ["CV # 29 = 34", { 29: 34 }],
    ["  Cv29\t:\t34  ", { 29: 34 }],
    ["29=0x22", { 29: 34 }],
    ["29=0X2f", { 29: 47 }],
    ["29=0b100010", { 29: 34 }],
    ["29=0B1", { 29: 1 }],
    ["300@16.0=7", { "300@16.0": 7 }],
    ["CV 300@016.00 = 7", { "300@16.0": 7 }],
    ["CV1=3, CV29=34", { 1: 3, 29: 34 }],
    ["CV1=3 CV29=34", { 1: 3, 29: 34 }],
    ["1=3 29: 34", { 1: 3, 29: 34 }],
    ["CV1=3,\nCV29=34,", { 1: 3, 29: 34 }],
    ["CV29=34 # long address", { 29: 34 }],
    ["CV29=34; long address", { 29: 34 }],
    ["CV29=34#x", { 29: 34 }],
    ["CV29 = 34 (long address) (0x22)", { 29: 34 }],
    ["CV29 = 34 (long), CV30 = 0", { 29: 34, 30: 0 }],
    ["# CV1=9\n; CV1=8\n\n  # x\nCV1=3", { 1: 3 }],
    ["CV1=3\r\nCV29=34\r\n", { 1: 3, 29: 34 }],
    ["CV1=3\rCV29=34", { 1: 3, 29: 34 }],
    ["\ufeffCV1=3", { 1: 3 }],
    ["> CV1 = 3\n> > CV29 = 34", { 1: 3, 29: 34 }],
    ["- CV1 = 3\n* CV29 = 34\n• CV5 = 0", { 1: 3, 29: 34, 5: 0 }],
    ["CV Value\n29 34", { 29: 34 }],
    ["CV = value\n29 = 34", { 29: 34 }],
  ];
  test.each(spellings)("%j", (text, cvs) => {
    const result = readCvSet(text);
    expect(said(result)).toEqual([]);
    expect(contentOf(result)).toEqual({ cvs, format: "list" });
  });

  const tables: [text: string, cvs: Record<string, number>, notes?: string[]][] = [
    ["CV,Value\n29,34\n", { 29: 34 }],
    ["cv;value\r\n29;34\r\n", { 29: 34 }],
    ["CV\tValue\n29\t34", { 29: 34 }],
    ['\ufeff# from the bench\n\n"CV","Value"\n"29","34"', { 29: 34 }],
    ["Value,CV no.\n34,CV 29\n0x07,300@16.0", { 29: 34, "300@16.0": 7 }],
    ['"29","34"\n"1","3"', { 1: 3, 29: 34 }],
    [
      'CV,Value,Remark\n29,34,"long\naddress, yes"\n1,3,\n',
      { 1: 3, 29: 34 },
      ['f:1: note: the column "Remark" is not read'],
    ],
    ["CV,Value\n29,34 # long, yes\n1,3 ; short\n# 5,6\n; 6,7\n,,\n", { 1: 3, 29: 34 }],
    ["CV,Value,\n29,34,\n", { 29: 34 }],
    ["; from the bench, CV 5\n# and again\nCV,Value\n29,34\n", { 29: 34 }],
    ["CV;Value;\n# x\n29;34;\n", { 29: 34 }],
    ["Number,Value,Dec\n29,34,x", { 29: 34 }, ['f:1: note: the column "Dec" is not read']],
    ["CV,Value\n29,34\n29,34\n", { 29: 34 }, ["f:3: note: CV 29 = 34 stands twice, first on line 2"]],
  ];
  test.each(tables)("the table %j", (text, cvs, notes = []) => {
    const result = readCvSet(text);
    expect(said(result)).toEqual(notes);
    expect(contentOf(result)).toEqual({ cvs, format: "csv" });
  });

  const json: [text: string, content: object][] = [
    ['{"29":34,"1":3}', { cvs: { 1: 3, 29: 34 } }],
    ['\ufeff \r\n{ "29" : 34 ,\t"300@16.0":0 }\n', { cvs: { 29: 34, "300@16.0": 0 } }],
    ["{}", { cvs: {} }],
    ['{"cvs":{}}', { cvs: {} }],
    ['{"cvs":{"29":34},"decoder":"q-8","name":"No. 9"}', { cvs: { 29: 34 }, decoder: "q-8", name: "No. 9" }],
    ['{"name":"N\\u00e4","cvs":{"29":34}}', { cvs: { 29: 34 }, name: "Nä" }],
    ['{"\\u0032\\u0039":34}', { cvs: { 29: 34 } }],
    [
      '{"$schema":"s","note":"n","silence":[{"rule":"r"}],"cvs":{"1":3}}',
      { cvs: { 1: 3 }, schema: "s", note: "n", silence: [{ rule: "r" }] },
    ],
  ];
  test.each(json)("the JSON %j", (text, content) => {
    const result = readCvSet(text);
    expect(said(result)).toEqual([]);
    expect(contentOf(result)).toEqual({ format: "json", ...content });
  });

  test("a list may name its decoder and itself", () => {
    expect(contentOf(readCvSet('Decoder: q-8 # mine\nname = "No. 9; \\"spare\\" #2" ; x\nCV1=3'))).toEqual({
      format: "list",
      decoder: "q-8",
      name: 'No. 9; "spare" #2',
      cvs: { 1: 3 },
    });
  });

  test("the caller's name counts only where the text has none", () => {
    for (const text of ['{"1":3}', '{"\\u0031":3}', "CV1=3", "CV,Value\n1,3"]) {
      expect(readCvSet(text, { name: "no9" }).value?.name).toBe("no9");
    }
    for (const text of ['{"name":"A","cvs":{"1":3}}', '{"name":"\\u0041","cvs":{"1":3}}', "name: A\nCV1=3"]) {
      expect(readCvSet(text, { name: "no9" }).value?.name).toBe("A");
    }
  });
});

describe("what is refused, and with which words", () => {
  const refused: [text: string, says: string[], cvs?: Record<string, number>][] = [
    ["", ["f:1: there is nothing in it; a CV set was expected"]],
    ["\ufeff \n\n", ["f:1: there is nothing in it; a CV set was expected"]],
    ["CV1=3\0", ["f:1: this is not a text: it holds a character U+0000, as binary files and UTF-16 do"]],
    // Lists.
    [
      "hello\nCV1=3\nworld",
      [`f:1: "hello" is not understood; ${example}`, `f:3: "world" is not understood; ${example}`],
      { 1: 3 },
    ],
    ["CV29", [`f:1: CV 29 has no value; ${example}`]],
    ["CV29 =", [`f:1: CV 29 has no value; ${example}`]],
    ["CV29 = # later", [`f:1: CV 29 has no value; ${example}`]],
    ["29;34", [`f:1: CV 29 has no value; what follows the ; is a remark; ${example}`]],
    ["CV29-31 = 4", [`f:1: "-31 = 4" is not understood after CV 29; ${example}`]],
    ["CV29 = = 4", [`f:1: "= 4" is not understood after CV 29; ${example}`]],
    ["29,34,5", [`f:1: ",5" is not understood after CV 29 and its value; ${example}`], { 29: 34 }],
    ["CV29=34 long", [`f:1: "long" is not understood after CV 29 and its value; ${example}`], { 29: 34 }],
    ["CV29=34 cvx", [`f:1: "cvx" is not understood; ${example}`], { 29: 34 }],
    ["CV29=34 (long", [`f:1: "(long" is not understood after CV 29 and its value; ${example}`], { 29: 34 }],
    ["CV29=3=4", [`f:1: "=4" is not understood after CV 29 and its value; ${example}`], { 29: 3 }],
    [
      "CV1=3; CV2=4",
      ["f:1: what follows a ; is a remark, but this looks like a CV; give it a line of its own"],
      { 1: 3 },
    ],
    [
      "1=3 ;2,4",
      ["f:1: what follows a ; is a remark, but this looks like a CV; give it a line of its own"],
      { 1: 3 },
    ],
    [
      "CV0=3\n1025=4\nCV300@256.0=1\nCV200@16.0=1",
      [`f:1: "0" ${notCv}`, `f:2: "1025" ${notCv}`, `f:3: "300@256.0" ${notCv}`, `f:4: "200@16.0" ${notCv}`],
    ],
    ["CV0=300", [`f:1: "0" ${notCv}`]],
    ["CV29=256", [`f:1: CV 29: 256 is not a CV value; ${byte}`]],
    ["CV29=0x100", [`f:1: CV 29: 256 is not a CV value; ${byte}`]],
    ["CV29=1e400", [`f:1: CV 29: "1e400" is not a CV value; ${spelled}`]],
    ["CV29=-0", [`f:1: CV 29: "-0" is not a CV value; ${spelled}`]],
    ["CV29=3.0", [`f:1: CV 29: "3.0" is not a CV value; ${spelled}`]],
    ['CV29="3"', [`f:1: CV 29: "\\"3\\"" is not a CV value; ${spelled}`]],
    ["CV29=true", [`f:1: CV 29: "true" is not a CV value; ${spelled}`]],
    ["CV29=0x", [`f:1: CV 29: "0x" is not a CV value; ${spelled}`]],
    ["CV29=0b2", [`f:1: CV 29: "0b2" is not a CV value; ${spelled}`]],
    ["CV29=+3", [`f:1: CV 29: "+3" is not a CV value; ${spelled}`]],
    [
      "CV1=999, CV2=-1, CV3=4",
      [`f:1: CV 1: 999 is not a CV value; ${byte}`, `f:1: CV 2: "-1" is not a CV value; ${spelled}`],
      { 3: 4 },
    ],
    [
      "CV1=3\nCV1=3\nCV1=4",
      [
        "f:3: CV 1: it stands twice with different values, 3 on line 1 and 4 here; keep one of the two",
        "f:2: note: CV 1 = 3 stands twice, first on line 1",
      ],
      { 1: 3 },
    ],
    [
      "CV31=16\nCV31=17",
      [
        "f:2: CV 31: it stands twice with different values, 16 on line 1 and 17 here; to tell index pages apart write CV 300 of the page CV 31 = 16, CV 32 = 0 as 300@16.0",
      ],
      { 31: 16 },
    ],
    ["name:\nCV1=3", ["f:1: the name is empty; write it, or take the line out"], { 1: 3 }],
    [
      'decoder: "x\nCV1=3',
      ["f:1: the text after decoder does not end with a double quote, or has a wrong \\"],
      { 1: 3 },
    ],
    ['name: "x" y\nCV1=3', ['f:1: "y" is not understood after the name'], { 1: 3 }],
    ["name: a\nname: b", ['f:2: the name stands twice, "a" and "b"; keep one of the two']],
    ["null", [`f:1: "null" is not understood; ${example}`]],
    // Tables.
    [
      "CV,Value\n1025,3\nx,3\n29,300\n30,\n31\n32,3,4\n,5",
      [
        `f:2: "1025" ${notCv}`,
        `f:3: "x" ${notCv}`,
        `f:4: CV 29: 300 is not a CV value; ${byte}`,
        "f:5: CV 30 has no value; it must stand in column 2, after a comma",
        "f:6: CV 31 has no value; it must stand in column 2, after a comma",
        "f:7: this row has 3 cells instead of 2",
        `f:8: "" ${notCv}`,
      ],
      { 32: 3 },
    ],
    [
      '"1","3"\n"2","4","5"',
      ["f:2: this row has 3 cells instead of 2; name the columns in a first row, as in CV,Value"],
      { 1: 3, 2: 4 },
    ],
    ['CV,Value\n1,"3\n2,4', ["f:2: the double quote that opens this cell is never closed"]],
    ['CV,Value\n"1"x,3', ["f:2: after the closing double quote of a cell a comma must follow"], { 1: 3 }],
    [
      "CV,Value,val\n1,3,4",
      ['f:1: which column is meant? "val" is a second one of its kind; rename or remove it'],
      { 1: 3 },
    ],
    ['CV,Value\n1,"3 # x"', [`f:2: CV 1: "3 # x" is not a CV value; ${spelled}`]],
    [
      "CV,Value\n29,34\n29,35",
      ["f:3: CV 29: it stands twice with different values, 34 on line 2 and 35 here; keep one of the two"],
      { 29: 34 },
    ],
    // JSON.
    [
      '{"29":34,\n"29":34}',
      ['f:2: CV 29: the key "29" stands twice, first on line 1; keep one of the two'],
      { 29: 34 },
    ],
    [
      '{"cvs":{"300@16.0":1,\n"300@16.0":2}}',
      ['f:2: CV 300@16.0: the key "300@16.0" stands twice, first on line 1; keep one of the two'],
      { "300@16.0": 2 },
    ],
    [
      '{"cvs":{"1":3},\n"cvs":{"2":4}}',
      ['f:2: cvs: the key "cvs" stands twice, first on line 1; keep one of the two'],
      { 2: 4 },
    ],
    ['{"1":1e400}', [`f:1: CV 1: 1e400 is not a CV value; ${byte}, without sign, point or exponent`]],
    ['{"1":-0}', [`f:1: CV 1: -0 is not a CV value; ${byte}, without sign, point or exponent`]],
    ['{"1":3.0}', [`f:1: CV 1: 3.0 is not a CV value; ${byte}, without sign, point or exponent`]],
    ['{"1":2e1}', [`f:1: CV 1: 2e1 is not a CV value; ${byte}, without sign, point or exponent`]],
    [
      '{"1":1.5,"2":-1,"3":256}',
      [
        `f:1: CV 1: 1.5 is not a CV value; ${byte}`,
        `f:1: CV 2: -1 is not a CV value; ${byte}`,
        `f:1: CV 3: 256 is not a CV value; ${byte}`,
      ],
    ],
    ['{"1":"3"}', [`f:1: CV 1: "3" is not a CV value; ${byte}, without quotes`]],
    [
      '{"1":"x","2":true,"3":null,"4":[5],"5":{"6":7}}',
      ['"x"', "true", "null", "[]", "{}"].map(
        (found, i) => `f:1: CV ${i + 1}: ${found} is not a CV value; ${byte}`,
      ),
    ],
    ['{"1":03}', ["f:1: CV 1: 03 is not a number as JSON writes it: digits, no zero or + in front, no hex"]],
    [
      '{"cvs":{"01":3,"CV29":34,"__proto__":1,"":2}}',
      ["01", "CV29", "__proto__", ""].map((cv) => `f:1: "${cv}" ${notCv}`),
    ],
    ['{"__proto__":{"29":34}}', [`f:1: "__proto__" ${notCv}`]],
    ["[3]", ['f:1: a CV set is an object, as in { "cvs": { "29": 34 } }, and not a list']],
    ['{"cvs":[3]}', ['f:1: "cvs" must be an object, as in "cvs": { "29": 34 }']],
    ['{"settings":{}}', ['f:1: this is a settings file; a CV set has "cvs" instead']],
    [
      '{"1":3,\n"decoder":"x"}',
      ['f:2: "decoder" is no CV; put the CVs under "cvs": { "cvs": { "29": 34 } }'],
    ],
    [
      '{"cvs":{"1":3},\n"nmae":"x"}',
      [
        'f:2: the key "nmae" is not known; is "name" meant? (a file may have "$schema", "decoder", "name", "note", "silence", "cvs")',
      ],
      { 1: 3 },
    ],
    [
      '{"cvs":{"1":3},"name":9,"decoder":"","note":[]}',
      ["name: 9", 'decoder: ""', "note: []"].map(
        (what) => `f:1: ${what} is not a text in double quotes, and not empty`,
      ),
      { 1: 3 },
    ],
    ["# mine\n{}", ["f:1: nothing may follow"]],
  ];
  test.each(refused)("%j", (text, says, cvs) => {
    const result = readCvSet(text);
    expect(result.ok).toBe(false);
    if (text.startsWith("# mine")) expect(said(result)).toHaveLength(1);
    else expect(said(result)).toEqual(says);
    if (cvs) expect(contentOf(result)?.cvs).toEqual(cvs);
  });

  test.each(["[", '{"a":', '{"cvs":{"1":', '{"cvs":'])("10,000 levels of %j", (open) => {
    const result = readCvSet(open.repeat(10_000));
    expect(result.ok || result.issues.map(({ kind }) => kind)).toEqual(["limit"]);
  });

  test.each(["x", "[", "1", " ", '"', "CV", "CV1=3 ", "cv ", "# ", "1,"])(
    "a line of 50 MB of %j is an issue",
    (piece) => {
      const text = piece.repeat(50_000_000 / piece.length);
      const result = readCvSet(text);
      expect(result.ok || result.issues.map(({ kind }) => kind)).toEqual(["limit"]);
      // And just below the limit it is read to its end in good time.
      const shorter = readCvSet(text.slice(0, 500_000));
      expect(shorter.ok ? shorter.value.cvs.size : shorter.issues.length).toBeLessThan(3);
    },
  );

  test("a list with more wrong lines than anyone reads says how many there are", () => {
    const result = readCvSet("wrong\n".repeat(5000));
    if (result.ok) throw new Error("accepted");
    expect(result.issues).toHaveLength(1001);
    expect(result.issues.at(-1)?.expected).toBe(
      "4000 more things are wrong after this line; only 1000 are listed",
    );
    const twice = readCvSet("CV1=3\n".repeat(5000));
    expect(twice.ok && [twice.notes.length, twice.notes.at(-1)?.expected]).toEqual([
      1000,
      "CV 1 = 3 stands twice, first on line 1; further notes are left out",
    ]);
  });

  test("only remarks: an empty set, and a note", () => {
    expect(said(readCvSet("# nothing yet\n"))).toEqual(["f:1: note: there is no CV in it"]);
    expect(said(readCvSet("CV,Value\n"))).toEqual(["f:1: note: there is no CV in it"]);
  });

  test("whatever the text, each of its lines is read, a remark, or complained of", () => {
    const piece = fc.constantFrom(
      "CV",
      "29",
      "1",
      "=",
      ":",
      ",",
      " ",
      "\t",
      "\n",
      "#",
      ";",
      "(",
      ")",
      "0x1",
      "@16.0",
      "300",
      '"',
      "x",
      "-",
      ">",
      "value",
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 12 }), (pieces) => {
        const text = pieces.join("");
        const result = readCvSet(text);
        if (!result.ok) {
          for (const { line, column } of result.issues) {
            const lines = text.split("\n");
            expect(line).toBeLessThanOrEqual(lines.length);
            expect(column).toBeLessThanOrEqual((lines[line - 1] as string).length + 1);
          }
          return;
        }
        if (result.value.format !== "list") return;
        for (const [i, line] of text.split("\n").entries()) {
          const bare = line
            .replace(/^[\s>]*-\s/, "")
            .replace(/CV\s*#/g, "CV")
            .replace(/[#;].*$/, "")
            .replace(/\([^()]*\)/g, "");
          if (!/[^\s>]/.test(bare) || /^\s*CV\W+value\s*$/i.test(bare)) continue;
          const numbers = bare.match(/0x1|300@16\.0|\d+/g) ?? [];
          const placed = [...result.value.cvs].filter(
            ([cv]) => (result.value.locate(cv)?.line ?? 0) === i + 1,
          ).length;
          const repeated = result.notes.filter(
            (note) => note.line === i + 1 && note.kind === "duplicate",
          ).length;
          expect([text, numbers.length / 2]).toEqual([text, placed + repeated]);
        }
      }),
      { numRuns: 3000 },
    );
  });
});

describe("the quick reader of JSON", () => {
  const text = fc
    .tuple(
      fc.boolean(),
      fc.array(
        fc.tuple(
          fc.oneof(
            fc.integer({ min: 0, max: 1030 }).map(String),
            fc.constantFrom(
              "300@16.0",
              "01",
              "x",
              "\\u0031",
              "512@255.255",
              "1@0.0",
              "300@256.0",
              "99999999999999999999",
            ),
          ),
          fc.oneof(
            { weight: 6, arbitrary: fc.integer({ min: 0, max: 260 }).map(String) },
            fc.constantFrom("-0", "3.0", "03", "1e1", '"3"', "null", "[]", "", "00", "0255"),
          ),
        ),
        { maxLength: 6 },
      ),
      fc.constantFrom(
        "",
        ',"name":"N"',
        ',"decoder":"d","name":"\\u0041"',
        ',"note":"n"',
        ',"x":1',
        ',"name":""',
        ',"name":"a","name":"b"',
        ",",
        ',"cvs":{}',
        ',"$schema":"s"',
        ',"name":"a\nb"',
      ),
      fc.constantFrom("", " ", "\n", "\r\n\t"),
      fc.nat(400),
    )
    .map(([bare, members, rest, gap, cut]) => {
      const map = `{${gap}${members.map(([k, v]) => `"${k}"${gap}:${gap}${v}`).join(`${gap},${gap}`)}${gap}}`;
      const whole = gap + (bare ? map : `{${gap}"cvs"${gap}:${gap}${map}${rest}${gap}}`) + gap;
      return cut < 40 ? whole.slice(0, cut) : whole;
    });

  test("finds what the full reader finds, and nothing wrong that it does not find", () => {
    let quickly = 0;
    fc.assert(
      fc.property(text, (text) => {
        const full = readJsonCvSet(new Lines(text), {}, new Complaints(new Lines(text)));
        const quick = quickCvSet(text, 0);
        if (!quick) return;
        quickly++;
        expect(full.ok && full.notes).toEqual([]);
        expect({ format: "json", ...quick.head, cvs: new CvSet(quick.image).toJSON() }).toEqual(
          contentOf(full),
        );
      }),
      { numRuns: 3000 },
    );
    expect(quickly).toBeGreaterThan(200);
  });

  test.each([
    '{"29":34}x',
    '{"29":34}}',
    '{"cvs":{"29":34}} {}',
    '{"name":"N"}',
    '{"cvs":{"29":34}',
    '{"cvs":{"29":34,}}',
  ])("leaves %j to the full reader, which refuses it", (text) => {
    expect(quickCvSet(text, 0)).toBe(undefined);
    expect(readCvSet(text).ok).toBe(false);
  });

  test("takes every well-formed set", () => {
    fc.assert(
      fc.property(
        fc.dictionary(fc.integer({ min: 1, max: 1024 }).map(String), fc.nat(255)),
        fc.constantFrom(undefined, 2),
        (map, indent) => {
          expect(
            quickCvSet(JSON.stringify(map, null, indent), 0) !== undefined || Object.keys(map).length === 0,
          ).toBe(true);
          const file = JSON.stringify({ cvs: map, decoder: "q-8", name: "No. 9" }, null, indent);
          expect(new CvSet(quickCvSet(file, 0)!.image).toJSON()).toEqual(map);
        },
      ),
    );
  });
});

describe("where a CV stands", () => {
  test.each([
    ['{\n "29": 34 }', "29", 2],
    ['{ "name": "\\u0041", "cvs": {\n\n "300@16.0": 34 } }', "300@16.0", 3],
    ["CV1=3\nCV29=34", "29", 2],
    ["CV,Value\n1,3\n29,34", "29", 3],
  ])("%j: CV %s on line %i", (text, cv, line) => {
    const { value } = readCvSet(text);
    expect(value?.locate(cv)?.line).toBe(line);
    expect(value?.locate(512)).toBe(undefined);
    expect(value?.locate("no CV")).toBe(undefined);
  });
});

describe("the samples of the guide", () => {
  const guide = readFileSync(new URL("../../docs/files.md", import.meta.url), "utf8");
  // Every fence is matched, so that the end of one is not taken for the start of the next.
  const fences = [...guide.matchAll(/```(\w*)\n([\s\S]*?)```/g)];
  const samples = fences.filter(([, language]) => language !== "ts").map(([, , text]) => text as string);

  test.each(samples)("%j", (text) => {
    const result = text.includes('"settings"') ? readSettings(text) : readCvSet(text);
    expect(result.ok || said(result)).toBe(true);
  });

  test("are all there", () => {
    expect(samples).toHaveLength(4);
    expect(contentOf(readCvSet(samples[1] as string))).toEqual({
      format: "list",
      decoder: "quillback-s8",
      name: "No. 9",
      cvs: { 1: 3, 2: 4, 5: 200, 6: 90, 17: 196, 18: 210, 29: 34, "300@16.0": 7 },
    });
  });
});
