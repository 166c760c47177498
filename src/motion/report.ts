import { aNumber, anObject, aText, listOf, need, needIn, objectOf } from "../cv/argument.js";
import { CvPatch } from "../cv/cvpatch.js";
import { notAList } from "../cv/faults.js";
import { escapeXml } from "../cv/text/escape-xml.js";
import { directions } from "./drive.js";
import { aMatched, type MatchedLocomotive, type MeasuredLocomotive, someMeasured } from "./match.js";
import { Problems } from "./problems.js";
import { speedPicture } from "./speed-picture.js";
import { type SpeedUnit, speedUnits } from "./units.js";

const styles = `:root{color-scheme:light dark}
body{font-family:system-ui,sans-serif;line-height:1.45;max-width:46rem;margin:1rem auto;padding:0 .8rem}
h1{font-size:1.5rem}h2{font-size:1.2rem;margin-top:2rem}h3{font-size:1rem}
svg{display:block;width:100%;height:auto;margin:.8rem 0}
.wide{overflow-x:auto}table{border-collapse:collapse;font-variant-numeric:tabular-nums}
th,td{padding:.1rem .6rem;text-align:right;border-bottom:1px solid #8886}
pre{white-space:pre-wrap;columns:8rem;margin:.4rem 0}
.warning{border-left:.3rem solid #b94700;padding-left:.6rem}
@media print{body{max-width:none;font-size:9pt}svg{width:11cm}h2,h3{break-after:avoid}tr,svg,ul{break-inside:avoid}td,th{padding:0 .5rem}pre{columns:6rem}}`;

const cautions = [
  "Write CVs on an isolated, current-limited programming track: 250 mA for more than 100 ms counts as a fault there (S-9.2.3, July 2012). Low voltage, yet it can hurt people and models.",
  "Switch smoke units, sound and lamps off while you program. A smoke unit gets hot.",
  "Keep the track clear and its ends stopped while a locomotive is timed; at high levels a light model can leave a curve.",
  "Follow the manuals of the decoder and of the command station where they differ.",
  "Note the old values of the CVs first, so that you can go back.",
];

const whyText = {
  "too-fast": "faster than it runs",
  "too-slow": "slower than it runs",
  compromise: "forward and reverse differ too much here",
} as const;

const aContent = /* @__PURE__ */ objectOf({
  target: /* @__PURE__ */ listOf(aNumber),
  locomotives: /* @__PURE__ */ listOf(aMatched),
  "measured?": someMeasured,
  "warnings?": /* @__PURE__ */ listOf(aText),
});

/**
 * The report of a match as one page of HTML, without script, for reading, printing and keeping: for each locomotive
 * the picture, the speed of each step with its uncertainty, what is out of reach and why, and the CVs; before that
 * what is doubtful about the measurements, and at the end the cautions.
 * @param content `title`: the heading. `target` and `locomotives`: what {@link matchSpeeds} gave. `measured`: what it
 * was given, for the measured points. `warnings`: sentences. `unit`: of the speeds, default `"mph"`.
 * @throws `CvError` with everything that is wrong.
 * @example
 * import { estimateResponse, matchReport, matchSpeeds, targetSpeeds } from "cvset/motion";
 * const forward = estimateResponse([{ level: 15, speed: 1 }, { level: 135, speed: 13 }, { level: 255, speed: 25 }]);
 * const measured = [{ name: "Mogul", forward }];
 * const match = matchSpeeds({ target: targetSpeeds({ start: 1, top: 14 }), locomotives: measured });
 * matchReport({ title: "Speed match", ...match, measured }).startsWith("<!doctype html>"); // true
 */
/* @__NO_SIDE_EFFECTS__ */
export function matchReport(content: {
  readonly title: string;
  readonly target: readonly number[];
  readonly locomotives: readonly MatchedLocomotive[];
  readonly measured?: readonly MeasuredLocomotive[];
  readonly warnings?: readonly string[];
  readonly unit?: "mph" | "km/h";
}): string {
  need(anObject, content, "content");
  const { title, target, locomotives, measured = [], warnings = [], unit = "mph" } = content;
  const problems = new Problems();
  problems.text("title", title);
  problems.option("unit", Object.keys(speedUnits) as SpeedUnit[], unit);
  if (!Array.isArray(locomotives)) problems.add(notAList({ found: locomotives }, { path: "locomotives" }));
  problems.throwIfAny();
  needIn(aContent, content, "content");
  const shown = locomotives.map((matched) => {
    const own = measured.find(({ name }) => name === matched.name);
    return own ? { matched, measured: own } : { matched };
  });
  const together =
    shown.length > 1
      ? [
          "<section>",
          "<h2>All together</h2>",
          speedPicture({ title: "All together", target, locomotives: shown, unit }),
          "</section>",
        ]
      : [];
  return [
    "<!doctype html>",
    '<html lang="en"><head><meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<title>${escapeXml(title)}</title>`,
    `<style>${styles}</style></head><body>`,
    `<h1>${escapeXml(title)}</h1>`,
    ...(warnings.length
      ? [
          '<section class="warning"><h2>What is doubtful</h2>',
          `<ul>${warnings.map((text) => `<li>${escapeXml(text)}</li>`).join("")}</ul></section>`,
        ]
      : []),
    ...together,
    ...shown.flatMap((one) => sectionOf(one, target, unit)),
    "<section><h2>Before you write</h2>",
    `<ul>${cautions.map((text) => `<li>${escapeXml(text)}</li>`).join("")}</ul></section>`,
    "</body></html>\n",
  ].join("\n");
}

function sectionOf(
  shown: { readonly matched: MatchedLocomotive; readonly measured?: MeasuredLocomotive },
  target: readonly number[],
  unit: SpeedUnit,
): string[] {
  const { matched } = shown;
  const speed = (value: number): string => `${speedUnits[unit](value).toFixed(1)}`;
  const both = directions.filter((direction) => matched.steps[0]?.[direction] !== undefined);
  const { slowest, fastest } = matched.range;
  const { cvs, bits } = CvPatch.from(matched.patch).toJSON();
  const values = [
    ...Object.entries(cvs).map(([cv, value]) => `CV${cv} = ${value}`),
    ...bits.map(({ cv, mask, value }) => `CV${cv} bit ${Math.log2(mask)} = ${value ? 1 : 0}`),
  ];
  const head = ["step", "level", `target (${unit})`, ...both.map((direction) => `${direction} (${unit})`)];
  const rows = matched.steps.map((step) => [
    String(step.step),
    String(step.level),
    speed(step.target),
    ...both.map((direction) => {
      const here = step[direction];
      return here ? `${speed(here.speed)} \u00b1 ${speed(2 * here.deviation)}` : "";
    }),
  ]);
  const missed = matched.unreached.map(
    ({ step, direction, reason }) => `step ${step}, ${direction}: ${whyText[reason]}`,
  );
  return [
    `<section><h2>${escapeXml(matched.name)}</h2>`,
    `<p>Within about ${speed(matched.within)} ${unit} at every step that it reaches, 19 times in 20, and usually within ${speed(matched.typical)} ${unit}; the uncertainty of the measurements is included. Measured from ${speed(slowest)} to ${speed(fastest)} ${unit}.</p>`,
    ...(missed.length ? [`<p>Out of reach: ${missed.map(escapeXml).join("; ")}.</p>`] : []),
    speedPicture({ title: matched.name, target, locomotives: [shown], unit }),
    "</section><section><h3>The CVs</h3>",
    `<pre>${values.join("\n")}</pre></section>`,
    '<section><h3>What each step will run</h3><div class="wide"><table><thead><tr>',
    `${head.map((text) => `<th scope="col">${escapeXml(text)}</th>`).join("")}</tr></thead><tbody>`,
    ...rows.map((row) => `<tr>${row.map((text) => `<td>${text}</td>`).join("")}</tr>`),
    "</tbody></table></div></section>",
  ];
}
