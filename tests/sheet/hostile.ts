import { type AnyDecoder, CvSet, choice, cv, defineDecoder, level, record, text } from "cvset";
import type { SheetLocomotive } from "cvset/sheet";
import { locomotive } from "cvset/standard";

/** Texts that try to leave the place where they stand. */
export const hostileTexts: Readonly<Record<string, string>> = {
  script: '<script>globalThis.taken = true</script><img src=x onerror="globalThis.taken = true">',
  attribute: `" onmouseover="globalThis.taken = true" x='`,
  "end of an element": "</title></style></td></table></main><h1>taken</h1>",
  comment: "<!-- --><!--",
  entity: "&lt;b&gt; &#60;b&#62; &amp",
  long: "A".repeat(10_000),
  "long with blanks": "many words ".repeat(1000),
  "right to left": "\u05de\u05e1\u05e4\u05e8 9 \u0642\u0637\u0627\u0631",
  override: "\u202e9 .oN\u2066 \u200f",
  emoji: "\u{1f682}\u{1f469}\u200d\u{1f692}\u{1f1e8}\u{1f1ed}",
  combining: `Z${"\u0301\u0489".repeat(200)}`,
  "broken surrogate": "a\ud800b\udc00c",
  control: "a\u0000b\u0007c\u001b[31md\u009be",
  pipe: "a|b||c\\|d",
  newline: "a\nb\r\nc\u2028d\n\n# heading\n---\n| x | y |",
  markdown:
    "**bold** _it_ `code` [link](javascript:alert(1)) ![i](http://x.invalid/i.png) ~~no~~ http://x.invalid www.x.invalid a@x.invalid",
  "begin of a list": "1. one",
  dash: "- one",
  heading: "# one",
  formula: '=HYPERLINK("http://x.invalid";"x")',
  plus: "+1+2",
  minus: "-1+cmd|' /C calc'!A0",
  at: "@SUM(1+1)",
  tab: "\t=1+1",
  quote: 'a"b""c',
  "comma and quote": '",=1+1,"',
  template: "$" + "{globalThis.taken = true} {{7*7}} <%= 7*7 %>",
  "no text": "",
  blanks: "   \t ",
};

/** A locomotive of which every text that a user can give is the same. */
export function locomotiveOf(word: string): SheetLocomotive {
  return {
    name: word,
    // Without a remark the sheet has a line less.
    note: word.trim() || "x",
    decoder: decoderOf(word),
    cvs: CvSet.from({
      1: 3,
      2: 5,
      3: 3,
      4: 3,
      29: 2,
      33: 1,
      34: 2,
      120: 1,
      121: 30,
      122: 2,
      123: 65,
      124: 66,
      200: 7,
    }),
    findings: [{ severity: "warning", message: word }],
  };
}

function decoderOf(word: string): AnyDecoder {
  return defineDecoder({
    id: "example-x1",
    name: word.trim() || "x",
    kind: "multifunction",
    note: word,
    features: {
      ...locomotive,
      whistle: choice(
        cv(120),
        { low: { value: 1, label: word, note: word } },
        { label: word, note: word, means: "whistle" },
      ),
      lamp: record(
        {
          effect: choice(
            cv(122),
            { on: { value: 2, label: word, means: "steady" } },
            { label: word, means: "lamp effect" },
          ),
        },
        { label: word, means: "headlight, output 1" },
      ),
      other: level(cv(121), { unit: word.slice(0, 50), label: word }),
      plate: text(cv(123).through(124), { label: word }),
    },
    factory: { 120: 2 },
  });
}
