import { readFileSync } from "node:fs";
import {
  type AnyFile,
  type CvSetFile,
  type FileResult,
  fileMessage,
  readAny,
  readCvSet,
  readSettings,
} from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";

/** Everything that was said of a text, errors then notes. */
function said(result: FileResult<unknown>): string[] {
  const issues = result.ok ? [] : result.issues;
  return [...issues, ...result.notes].map((issue) => fileMessage({ ...issue, file: "f" }).slice(2));
}

function contentOf({ value }: FileResult<CvSetFile>) {
  if (!value) return undefined;
  const { kind: _, cvs, locate: __, at: ___, ...rest } = value;
  return { ...rest, cvs: cvs.toJSON() };
}

function patchOf(file: AnyFile | undefined) {
  return file?.kind === "patch" ? file.patch.toJSON() : undefined;
}

const byte = "expected a whole number from 0 to 255, got";
const spelled = "expected a whole number from 0 to 255, as in 34, 0x22 or 0b100010, got";
const spelling = "expected a whole number from 0 to 255 without sign, point or exponent, got";
const cv = 'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got';
const example = "write one CV a line, as in CV29 = 34; remarks start with # or ;";
const lookAlike = "looks like a line break in some programs, but ends no line; put a line break in its place";

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
    ["29;34", { 29: 34 }],
    ["1;3\n29 ; 34;long address\n5;0x10 # x\n6;0b11(x)", { 1: 3, 29: 34, 5: 16, 6: 3 }],
    ["CV29 - 34", { 29: 34 }],
    ["CV29 \u2013 34\n30 \u2014 1", { 29: 34, 30: 1 }],
    ["29 -> 34\nCV30 => 1\n31\u21922", { 29: 34, 30: 1, 31: 2 }],
    ["- CV29 - 34", { 29: 34 }],
    ["CV29=0000\nCV30=0001\nCV31=010", { 29: 0, 30: 1, 31: 10 }],
    ["CV Wert\n29 34", { 29: 34 }],
    ["\fCV29 = 34\f\n\u2028\n", { 29: 34 }],
    ["CV29 bits 0-7 = 34", { 29: 34 }],
    ["CV29 bits 0-3 = 2\nCV29 bits 4-7 = 2", { 29: 34 }],
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
      ['1:10: note: columns not read: "Remark"'],
    ],
    ["CV,Value\n29,34 # long, yes\n1,3 ; short\n# 5,6\n; 6,7\n,,\n", { 1: 3, 29: 34 }],
    ["CV,Value,\n29,34,\n", { 29: 34 }],
    ["; from the bench, CV 5\n# and again\nCV,Value\n29,34\n", { 29: 34 }],
    ["CV;Value;\n# x\n29;34;\n", { 29: 34 }],
    ["Number,Value,Dec\n29,34,x", { 29: 34 }, ['1:14: note: columns not read: "Dec"']],
    ["CV,Value\n29,34\n29,34\n", { 29: 34 }, ["3:1: note: CV 29: 34 is given twice, first on line 2"]],
    ["CV-Nr.; Wert\n29; 34", { 29: 34 }],
    ['# "x\nCV,Value\n29,34', { 29: 34 }],
    ["Numéro de CV;Valeur\n29;34", { 29: 34 }],
    ["N\u00b0 CV;Valeur CV\n29;34", { 29: 34 }],
    ["CV-nummer,Waarde\n29,34", { 29: 34 }],
    ["Número de CV,Valor\n29,34", { 29: 34 }],
    ["Numero CV\tValore\n29\t34", { 29: 34 }],
    ["Nummer;Wert\n29;34", { 29: 34 }],
    ["CV,Valeur decimale,Valore\n29,34,5", { 29: 5 }, ['1:4: note: columns not read: "Valeur decimale"']],
    ['CV,Value,Remark\n1,3,"a\u2028b"\n', { 1: 3 }, ['1:10: note: columns not read: "Remark"']],
  ];
  test.each(tables)("the table %j", (text, cvs, notes = []) => {
    const result = readCvSet(text);
    expect(said(result)).toEqual(notes);
    expect(contentOf(result)).toEqual({ cvs, format: "csv" });
  });

  const markdown: [text: string, cvs: Record<string, number>, notes?: string[]][] = [
    ["| CV | Value |\n|----|:-----:|\n| 29 | 34 |\n| 300@16.0 | 0x07 |\n", { 29: 34, "300@16.0": 7 }],
    ["CV | Wert\n--- | ---\n**29** | `34`", { 29: 34 }],
    [
      "# No. 9\n\n| CV | What | Value |\n|-|-|-|\n| 29 | a \\| b | 34 ; x |\n\n",
      { 29: 34 },
      ['3:7: note: columns not read: "What"'],
    ],
  ];
  test.each(markdown)("the Markdown table %j", (text, cvs, notes = []) => {
    const result = readCvSet(text);
    expect(said(result)).toEqual(notes);
    expect(contentOf(result)).toEqual({ cvs, format: "markdown" });
  });

  const patches: [text: string, patch: object, notes?: string[]][] = [
    ["CV 29 bit 5 = 1\nCV17 = 196", { cvs: { 17: 196 }, bits: [{ cv: "29", mask: 32, value: 32 }] }],
    [
      "CV29 bit 4 = 1  # use the speed table\nCV29 bits 0-2 = 5, CV30 = 1",
      { cvs: { 30: 1 }, bits: [{ cv: "29", mask: 23, value: 21 }] },
    ],
    [
      '{"cvs":{"67":4},"bits":[{"cv":"29","mask":16,"value":16}],"name":"A","within":1.2,"unit":"mph","unreached":[],"stop":{}}',
      { cvs: { 67: 4 }, bits: [{ cv: "29", mask: 16, value: 16 }] },
      ['1:70: note: keys not read: "within", "unit", "unreached", "stop"'],
    ],
    [
      '{"bits":[{"cv":"300@16.0","mask":1,"value":0}]}',
      { cvs: {}, bits: [{ cv: "300@16.0", mask: 1, value: 0 }] },
    ],
    [
      '{"locomotives":[{"name":"A","cvs":{},"bits":[{"cv":"29","mask":16,"value":16}]}]}',
      { cvs: {}, bits: [{ cv: "29", mask: 16, value: 16 }] },
    ],
  ];
  test.each(patches)("the patch %j", (text, patch, notes = []) => {
    const result = readAny(text);
    expect(said(result)).toEqual(notes);
    expect(patchOf(result.value)).toEqual(patch);
  });

  test.each([
    ['{"locomotives":[{"name":"A","cvs":{"1":3}}]}', { 1: 3 }],
    ['{"cvs":{"1":3},"bits":[]}', { 1: 3 }],
    ['{"cvs":{"29":34},"bits":[{"cv":"29","mask":255,"value":34}]}', { 29: 34 }],
  ])("%j is a CV set", (text, cvs) => {
    expect(readCvSet(text).value?.cvs.toJSON()).toEqual(cvs);
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
});

describe("what is refused, and with which words", () => {
  const refused: [text: string, says: string[], cvs?: Record<string, number>][] = [
    ["", ["1:1: the file is empty"]],
    ["\ufeff \n\n", ["1:1: the file is empty"]],
    [
      "CV1=3\u0000",
      ["1:6: this is not a text: it has the character U+0000, as binary files and UTF-16 have"],
    ],
    [
      "hello\nCV1=3\nworld",
      [`1:1: "hello" is not understood; ${example}`, `3:1: "world" is not understood; ${example}`],
      { "1": 3 },
    ],
    ["CV29", [`1:5: CV 29 has no value; ${example}`], {}],
    ["CV29 =", [`1:7: CV 29 has no value; ${example}`], {}],
    ["CV29 = # later", [`1:8: CV 29 has no value; ${example}`], {}],
    [
      "29;",
      ["1:3: CV 29 has no value, for a semicolon starts a remark; write one CV a line, as in CV29 = 34"],
      {},
    ],
    [
      "29;34x",
      ["1:3: CV 29 has no value, for a semicolon starts a remark; write one CV a line, as in CV29 = 34"],
      {},
    ],
    ["CV29-31 = 4", [`1:5: "-31 = 4" is not understood after CV 29; ${example}`], {}],
    ["CV29 = = 4", [`1:8: "= 4" is not understood after CV 29; ${example}`], {}],
    ["29,34,5", [`1:6: ",5" is not understood after CV 29 and its value; ${example}`], { "29": 34 }],
    ["CV29=34 long", [`1:9: "long" is not understood after CV 29 and its value; ${example}`], { "29": 34 }],
    ["CV29=34 cvx", [`1:9: "cvx" is not understood; ${example}`], { "29": 34 }],
    ["CV29=34 (long", [`1:9: "(long" is not understood after CV 29 and its value; ${example}`], { "29": 34 }],
    ["CV29=3=4", [`1:7: "=4" is not understood after CV 29 and its value; ${example}`], { "29": 3 }],
    [
      "CV1=3; CV2=4",
      ["1:12: a remark starts at the semicolon, but what follows looks like a CV; give it a line of its own"],
      { "1": 3 },
    ],
    [
      "1=3 ;2,4",
      ["1:8: a remark starts at the semicolon, but what follows looks like a CV; give it a line of its own"],
      { "1": 3 },
    ],
    [
      "CV0=3\n1025=4\nCV300@256.0=1\nCV200@16.0=1",
      [`1:1: ${cv} "0"`, `2:1: ${cv} "1025"`, `3:1: ${cv} "300@256.0"`, `4:1: ${cv} "200@16.0"`],
      {},
    ],
    ["CV0=300", [`1:1: ${cv} "0"`], {}],
    ["CV29=256", [`1:6: CV 29: ${byte} 256`], {}],
    ["CV29=0x100", [`1:6: CV 29: ${byte} 256`], {}],
    ["CV29=1e400", [`1:6: CV 29: ${spelled} "1e400"`], {}],
    ["CV29=-0", [`1:6: CV 29: ${spelled} "-0"`], {}],
    ["CV29=3.0", [`1:6: CV 29: ${spelled} "3.0"`], {}],
    ['CV29="3"', [`1:6: CV 29: ${spelled} "\\"3\\""`], {}],
    ["CV29=true", [`1:6: CV 29: ${spelled} "true"`], {}],
    ["CV29=0x", [`1:6: CV 29: ${spelled} "0x"`], {}],
    ["CV29=0b2", [`1:6: CV 29: ${spelled} "0b2"`], {}],
    ["CV29=+3", [`1:6: CV 29: ${spelled} "+3"`], {}],
    [
      "CV29=00000110",
      [
        '1:6: CV 29: "00000110" can be read as binary (6) or as decimal (110); write 0b00000110 for the binary number',
      ],
      {},
    ],
    [
      "CV29=0110",
      [
        '1:6: CV 29: "0110" can be read as binary (6) or as decimal (110); write 0b0110 for the binary number',
      ],
      {},
    ],
    [
      "CV29=11111111",
      [
        '1:6: CV 29: "11111111" can be read as binary (255) or as decimal (11111111); write 0b11111111 for the binary number',
      ],
      {},
    ],
    ["CV29=111111111", [`1:6: CV 29: ${byte} 111111111`], {}],
    ["CV29 bit 8 = 1", ['1:1: expected a bit from 0 to 7, or two as in bits 0-2, got "bit 8"'], {}],
    ["CV29 bits 5-2 = 1", ['1:1: expected a bit from 0 to 7, or two as in bits 0-2, got "bits 5-2"'], {}],
    ["CV29 bit 5 = 2", ['1:14: CV 29 bit 5: expected a whole number from 0 to 1, got "2"'], {}],
    ["CV29 bits 0-2 = 8", ['1:17: CV 29 bits 0-2: expected a whole number from 0 to 7, got "8"'], {}],
    ["CV29 bit 5 = x", ['1:14: CV 29 bit 5: expected a whole number from 0 to 1, got "x"'], {}],
    ["CV1025 bit 5 = 1", [`1:1: ${cv} "1025"`], {}],
    ["CV29 bit 5", [`1:11: CV 29 bit 5 has no value; ${example}`], {}],
    [
      "CV29=6\nCV29 bit 5 = 1",
      ["2:1: CV 29 bit 5: given twice with different values, 0 on line 1 and 1 here; keep one of the two"],
      { "29": 6 },
    ],
    [
      "CV29 bit 5 = 1\nCV29 bits 4-6 = 3\nCV29 bit 4 = 0",
      ["1:1: this is a patch of single bits; expected a CV set"],
    ],
    ["CV1=999, CV2=-1, CV3=4", [`1:5: CV 1: ${byte} 999`, `1:14: CV 2: ${spelled} "-1"`], { "3": 4 }],
    [
      "CV1=3\nCV1=3\nCV1=4",
      [
        "3:1: CV 1: given twice with different values, 3 on line 1 and 4 here; keep one of the two",
        "2:1: note: CV 1: 3 is given twice, first on line 1",
      ],
      { "1": 3 },
    ],
    [
      "CV31=16\nCV31=17",
      [
        "2:1: CV 31: given twice with different values, 16 on line 1 and 17 here; to tell index pages apart write CV 300 of the page CV 31 = 16, CV 32 = 0 as 300@16.0",
      ],
      { "31": 16 },
    ],
    ["name:\nCV1=3", ["1:6: the name is empty; write it, or take the line out"], { "1": 3 }],
    [
      'decoder: "x\nCV1=3',
      ["1:10: the text after decoder does not end with a double quote, or has a wrong \\"],
      { "1": 3 },
    ],
    ['name: "x" y\nCV1=3', [`1:11: "y" is not understood after the name; ${example}`], { "1": 3 }],
    ["name: a\nname: b", ['2:1: the name is given twice, "a" and "b"; keep one of the two'], {}],
    ["null", [`1:1: "null" is not understood; ${example}`], {}],
    ["CV 1 = 3\u000bCV 29 = 34", [`1:9: the character U+000B ${lookAlike}`], { "1": 3, "29": 34 }],
    ["CV1=3 # a\u2028CV29=34", [`1:10: the character U+2028 ${lookAlike}`], { "1": 3 }],
    ["# a\u2029CV29=34\nCV1=3", [`1:4: the character U+2029 ${lookAlike}`], { "1": 3 }],
    ["name: a\u0085CV29=34\nCV1=3", [`1:8: the character U+0085 ${lookAlike}`], { "1": 3 }],
    [
      "1 3\n2 4\nx\ny\nz\nw",
      [
        `3:1: "x" is not understood; ${example}`,
        `4:1: "y" is not understood; ${example}`,
        `5:1: "z" is not understood; ${example}`,
        `6:1: "w" is not understood; ${example}`,
      ],
      { "1": 3, "2": 4 },
    ],
    [
      "a\nb\nc\nd",
      [
        `1:1: "a" is not understood; ${example}`,
        "1:1: 4 lines, and not one is understood; a list of CVs has lines such as CV29 = 34, a table has a header such as CV,Value, and JSON starts with {",
      ],
      {},
    ],
    [
      "CV,Value\n1025,3\nx,3\n29,300\n30,\n31\n32,3,4\n,5",
      [
        `2:1: ${cv} "1025"`,
        `3:1: ${cv} "x"`,
        `4:4: CV 29: ${byte} 300`,
        "5:4: CV 30 has no value; it must be in column 2, after a comma",
        "6:1: CV 31 has no value; it must be in column 2, after a comma",
        "7:6: this row has 3 cells instead of 2",
        `8:1: ${cv} ""`,
      ],
      { "32": 3 },
    ],
    [
      '"1","3"\n"2","4","5"',
      ["2:9: this row has 3 cells instead of 2; name the columns in a first row, as in CV,Value"],
      { "1": 3, "2": 4 },
    ],
    ['CV,Value\n1,"3\n2,4', ["2:3: the double quote that opens this cell is never closed"], {}],
    ['CV,Value\n"1"x,3', ["2:4: after the closing double quote of a cell a comma must follow"], { "1": 3 }],
    ["CV,Value,val\n1,3,4", ['1:10: "val" is a second column of its kind; rename or remove it'], { "1": 3 }],
    ['CV,Value\n1,"3 # x"', [`2:3: CV 1: ${spelled} "3 # x"`], {}],
    [
      "CV,Value\n29,34\n29,35",
      ["3:1: CV 29: given twice with different values, 34 on line 2 and 35 here; keep one of the two"],
      { "29": 34 },
    ],
    [
      "CV,Value,Remark\n1,3,a\u2028b\n# x\u2028y\n",
      [
        `2:6: the character U+2028 ${lookAlike}`,
        `3:4: the character U+2028 ${lookAlike}`,
        '1:10: note: columns not read: "Remark"',
      ],
      { "1": 3 },
    ],
    [
      "CV,Value\n29,00000110",
      [
        '2:4: CV 29: "00000110" can be read as binary (6) or as decimal (110); write 0b00000110 for the binary number',
      ],
      {},
    ],
    [
      "| CV | Value |\n| --- | --- |\n| 29 |\n| 1 | 3 | 4 |\n| x | 3 |",
      [
        "3:2: CV 29 has no value; it must be in column 2, after a bar (|)",
        "4:10: this row has 3 cells instead of 2",
        `5:2: ${cv} "x"`,
      ],
      { "1": 3 },
    ],
    [
      '{"29":34,\n"29":34}',
      ['2:1: CV 29: the key "29" is given twice, first on line 1; keep one of the two'],
      { "29": 34 },
    ],
    [
      '{"cvs":{"300@16.0":1,\n"300@16.0":2}}',
      ['2:1: CV 300@16.0: the key "300@16.0" is given twice, first on line 1; keep one of the two'],
      { "300@16.0": 2 },
    ],
    [
      '{"cvs":{"1":3},\n"cvs":{"2":4}}',
      ['2:1: cvs: the key "cvs" is given twice, first on line 1; keep one of the two'],
      { "2": 4 },
    ],
    ['{"1":1e400}', [`1:6: CV 1: ${spelling} 1e400`], {}],
    ['{"1":-0}', [`1:6: CV 1: ${spelling} -0`], {}],
    ['{"1":3.0}', [`1:6: CV 1: ${spelling} 3.0`], {}],
    ['{"1":2e1}', [`1:6: CV 1: ${spelling} 2e1`], {}],
    ['{"1":1e2}', [`1:6: CV 1: ${spelling} 1e2`], {}],
    [
      '{"1":1.5,"2":-1,"3":256}',
      [`1:6: CV 1: ${byte} 1.5`, `1:14: CV 2: ${byte} -1`, `1:21: CV 3: ${byte} 256`],
      {},
    ],
    ['{"1":"3"}', ['1:6: CV 1: expected a whole number from 0 to 255 without quotes, got "3"'], {}],
    [
      '{"1":"x","2":true,"3":null,"4":[5],"5":{"6":7}}',
      [
        `1:6: CV 1: ${byte} "x"`,
        `1:14: CV 2: ${byte} true`,
        `1:23: CV 3: ${byte} null`,
        `1:32: CV 4: ${byte} []`,
        `1:40: CV 5: ${byte} {}`,
      ],
      {},
    ],
    ['{"1":03}', ['1:6: 1: "03" is not a number of JSON: digits, no zero or + in front, no hexadecimal']],
    [
      '{"cvs":{"01":3,"CV29":34,"__proto__":1,"":2}}',
      [`1:9: ${cv} "01"`, `1:16: ${cv} "CV29"`, `1:26: ${cv} "__proto__"`, `1:40: ${cv} ""`],
      {},
    ],
    [
      '{"__proto__":{"29":34}}',
      [
        '1:1: it cannot be told what this file is: expected the key "cvs", "settings", "features" or "steps", or CV numbers as keys; the keys are "__proto__"',
      ],
    ],
    ["[3]", ['1:1: expected an object with the key "cvs" or "settings", got []']],
    ['"x"', [`1:1: "\\"x\\"" is not understood; ${example}`], {}],
    ["[]", ['1:1: expected an object with the key "cvs" or "settings", got []']],
    [
      '{"cvs":[3]}',
      ["1:8: cvs: expected an object with CV numbers as keys and values from 0 to 255, got []"],
    ],
    ['{"settings":{}}', ["1:1: this is a settings file; expected a CV set"]],
    ['{"settings":{},"cvs":{}}', ['1:1: this has both "cvs" and "settings"; a file has one of them']],
    ['{"features":{}}', ["1:1: this is a decoder description; expected a CV set"]],
    ['{"steps":[]}', ["1:1: this is a plan; expected a CV set"]],
    ['{"runs":[]}', ["1:1: this is a file of timed runs; expected a CV set"]],
    ['[{"level":20,"mph":3}]', ["1:1: this is a file of timed runs; expected a CV set"]],
    ['{"findings":[]}', ["1:1: this is a report; expected a CV set"]],
    ["level,seconds\n20,3", ["1:1: this is a file of timed runs; expected a CV set"]],
    [
      '{"1":3,\n"decoder":"x"}',
      ['2:1: the key "decoder" is not a CV; a file with other keys has its CVs under "cvs"'],
    ],
    [
      '{"decoder":"x"}',
      [
        '1:1: it cannot be told what this file is: expected the key "cvs", "settings", "features" or "steps", or CV numbers as keys; the keys are "decoder"',
      ],
    ],
    [
      '{"cvs":{"1":3},\n"nmae":"x"}',
      [
        '2:1: the key "nmae" is not known; a file of this kind may have "$schema", "decoder", "name", "note", "silence", "cvs", "bits"; nearest: "name"',
      ],
      { "1": 3 },
    ],
    [
      '{"cvs":{"1":3},"name":9,"decoder":"","note":[]}',
      [
        "1:23: name: expected a text in double quotes that is not empty, got 9",
        '1:35: decoder: expected a text in double quotes that is not empty, got ""',
        "1:45: note: expected a text in double quotes that is not empty, got []",
      ],
      { "1": 3 },
    ],
    [
      '{"cvs":{"1":3},"bits":[{"cv":"29","mask":32,"value":32}]}',
      ["1:1: this is a patch of single bits; expected a CV set"],
    ],
    [
      '{"bits":[{"cv":"29","mask":32,"value":1},{"cv":"x","mask":32,"value":1},5,{"cv":"29","mask":0,"value":0}]}',
      [
        "1:10: bits.0: CV 29: expected a whole number from 0 to 255 without bits outside the mask 32, got 1",
        `1:42: bits.1: ${cv} "x"`,
        "1:73: bits.2: expected an object, got 5",
        "1:75: bits.3: CV 29: expected a mask, a whole number from 1 to 255, got 0",
      ],
      {},
    ],
    [
      '{"cvs":{},"bits":{}}',
      ['1:18: bits: expected a list of objects with "cv", "mask" and "value", got {}'],
      {},
    ],
    [
      '{"cvs":{"29":6},"bits":[{"cv":"29","mask":32,"value":32}]}',
      ["1:25: CV 29 bit 5: given twice with different values, 0 on line 1 and 1 here; keep one of the two"],
      { "29": 6 },
    ],
    ["# mine\n{}", ['1:1: there are no remarks in JSON; use the key "note"']],
    ['{"1":3}\n{"1":4}', ["2:1: a second document starts here; expected one"]],
    [
      '{"locomotives":[{"name":"A","cvs":{"1":3}},{"cvs":{"1":4}}],"warnings":[]}',
      ["1:17: this has 2 locomotives (A, number 2); expected one"],
    ],
    ['{"locomotives":[]}', ["1:1: this is a report; expected a CV set"]],
    ['{"unit":"mph","locomotives":[{"name":"A","range":{}}]}', ["1:1: this is a report; expected a CV set"]],
  ];
  test.each(refused)("%j", (text, says, cvs) => {
    const result = readCvSet(text);
    expect(result.ok).toBe(false);
    expect(said(result)).toEqual(says);
    expect(contentOf(result)?.cvs).toEqual(cvs);
  });

  test.each(["[", '{"a":', '{"cvs":{"1":', '{"cvs":'])("10,000 levels of %j", (open) => {
    const result = readCvSet(open.repeat(10_000));
    expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["too-deep"]);
  });

  test.each(["x", "[", "1", " ", '"', "CV", "CV1=3 ", "cv ", "# ", "1,"])(
    "a line of 20 MB of %j is an issue",
    (piece) => {
      const text = piece.repeat(Math.ceil(20_000_000 / piece.length));
      const result = readCvSet(text);
      expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["too-long"]);
      // And just below the limit it is read to its end in good time.
      const shorter = readCvSet(text.slice(0, 500_000));
      expect(shorter.ok ? shorter.value.cvs.size : shorter.issues.length).toBeLessThan(3);
    },
  );

  test("a list with very many wrong lines says how many there are", () => {
    const result = readCvSet(`${"wrong\n".repeat(5000)}CV1=3`);
    if (result.ok) throw new Error("accepted");
    expect(result.issues).toHaveLength(1001);
    expect(said({ ...result, notes: [] }).at(-1)).toBe(
      "1000:1: 4000 more errors are not listed; the first 1000 are",
    );
    const twice = readCvSet("CV1=3\n".repeat(5000));
    expect([twice.ok, twice.notes.length, said(twice).at(-1)]).toEqual([
      true,
      1001,
      "1001:1: note: 3999 more notes are not listed; the first 1000 are",
    ]);
  });

  test("only remarks: an empty set, and a note", () => {
    for (const text of ["# nothing yet\n", "CV,Value\n"]) {
      expect(said(readCvSet(text))).toEqual(["1:1: note: there is no CV in it"]);
      expect(readCvSet(text).value?.cvs.toJSON()).toEqual({});
    }
  });

  test("whatever the text, each of its lines is read, a remark, or an issue", () => {
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
      "\u2028",
      " - ",
      "|",
    );
    // Of pieces in any order hardly any text can be read, so most lines are nearly right.
    const line = fc
      .tuple(
        fc.constantFrom("", "CV", "CV ", "- CV", "> ", "CV # "),
        fc.constantFrom("29", "1", "300", "300@16.0"),
        fc.constantFrom("=", " = ", ":", " ", ",", "\t", ";", " - "),
        fc.constantFrom("1", "29", "0x1"),
        fc.constantFrom("", "", "", " # x", ";x 29", " (29)", ",", " 1=1", " x"),
      )
      .map((parts) => parts.join(""));
    const texts = fc.oneof(
      fc.array(piece, { maxLength: 12 }),
      fc
        .array(fc.oneof({ weight: 9, arbitrary: line }, piece), { maxLength: 4 })
        .map((lines) => [lines.join("\n")]),
    );
    const seen = { refused: 0, lines: 0 };
    fc.assert(
      fc.property(texts, (pieces) => {
        const text = pieces.join("");
        const result = readCvSet(text);
        if (!result.ok) seen.refused++;
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
            .replace(/^([\s>]*(?:CV)?\s*[\d@.]+\s*);(?=\s*(?:0x)?\d+\s*(?:[;#(]|$))/, "$1=")
            .replace(/[#;][\s\S]*$/, "")
            .replace(/\([^()]*\)/g, "");
          if (!/[^\s>]/.test(bare) || /^\s*CV\W+value\s*$/i.test(bare)) continue;
          const numbers = bare.match(/0x1|300@16\.0|\d+/g) ?? [];
          const placed = [...result.value.cvs].filter(
            ([cv]) => (result.value.locate(cv)?.line ?? 0) === i + 1,
          ).length;
          const repeated = result.notes.filter(
            (note) => note.line === i + 1 && note.code === "cv-again",
          ).length;
          expect([text, numbers.length / 2]).toEqual([text, placed + repeated]);
          if (placed) seen.lines++;
        }
      }),
      { numRuns: 3000 },
    );
    expect(Math.min(seen.refused, seen.lines)).toBeGreaterThan(100);
  });
});

describe("a CV of the indexed area without a page", () => {
  const kept = "indexed CVs without an index page, kept as they are";
  test.each([
    ["CV300 = 7", `1:1: note: CV 300: ${kept}; where a page is meant, write it as in 300@16.0`],
    [
      "CV31 = 18\nCV301 = 7\nCV300 = 7\nCV32 = 2",
      `2:1: note: CV 300, 301: ${kept}; if the page of CV 31 and CV 32 in this file is meant, write it as in 300@18.2`,
    ],
    ["CV,Value\n31,16\n257,1", `3:1: note: CV 257: ${kept}; where a page is meant, write it as in 257@16.0`],
    ['{"512":1}', `1:2: note: CV 512: ${kept}; where a page is meant, write it as in 512@16.0`],
  ])("%j", (text, note) => {
    const result = readCvSet(text);
    expect(said(result)).toEqual([note]);
    expect(result.ok && [...result.value.cvs].every(([cv]) => !cv.includes("@"))).toBe(true);
  });

  test("is one note for the whole file", () => {
    const cvs = Object.fromEntries(Array.from({ length: 1024 }, (_, i) => [i + 1, 0]));
    const result = readCvSet(JSON.stringify(cvs));
    expect(said(result)).toHaveLength(1);
    expect(said(result)[0]).toContain("267, 268 and 244 more");
  });
});

describe("where a CV is", () => {
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

  test("issues about CVs get the places of these; the start of the file where it does not have them", () => {
    const { value } = readCvSet("CV1=3\nCV29=34", { file: "f" });
    const issue = { code: "x", path: "", text: "no", params: {} };
    const placed = value?.at([
      {
        ...issue,
        places: [
          { cv: "30", mask: 255 },
          { cv: "29", mask: 1 },
        ],
      },
      { ...issue, places: [{ cv: "30", mask: 255 }] },
      issue,
    ]);
    expect(placed?.map((issue) => fileMessage(issue))).toEqual([
      "f:2:1: CV 30, CV 29 bit 0: no",
      "f:1:1: CV 30: no",
      "f:1:1: no",
    ]);
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
    expect(samples).toHaveLength(5);
    expect(contentOf(readCvSet(samples[1] as string))).toEqual({
      format: "list",
      decoder: "quillback-s8",
      name: "No. 9",
      cvs: { 1: 3, 2: 4, 3: 20, 4: 15, 5: 200, 6: 90, 17: 196, 18: 210, 29: 34, "300@16.0": 7 },
    });
  });
});
