import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { type RuleInfo, ruleList, standardRules } from "cvset/check";
import { expect, test } from "vitest";

// Makes docs/rules.md from the rules. With CVSET_UPDATE=1 it is written; otherwise it is compared.

const page = fileURLToPath(new URL("../../docs/rules.md", import.meta.url));
const cell = (text: string): string => text.replaceAll("|", "\\|").replaceAll("\n", " ");

function table(rules: readonly RuleInfo[]): string {
  return [
    "| Rule | Severity | What it finds | How to fix it | Source |",
    "|---|---|---|---|---|",
    ...rules.map(
      ({ name, severity, summary, fix, source }) =>
        `| \`${name}\` | ${severity} | ${cell(summary)} | ${cell(fix)} | ${cell(source)} |`,
    ),
  ].join("\n");
}

function made(): string {
  const all = ruleList();
  const named = (names: readonly string[]) => all.filter(({ name }) => names.includes(name));
  const one = named(standardRules.map(({ name }) => name));
  const across = named(["same-address", "consist-speed"]);
  const rest = all.filter((rule) => !one.includes(rule) && !across.includes(rule));
  return `# Rules of \`cvset check\`

This page is made by \`tests/check/rules-page.test.ts\`; \`CVSET_UPDATE=1\` writes it anew.

A finding names its rule. An *error* will not work, a *warning* may not be meant, a *note* is worth knowing. Some
findings have another severity than their rule; the message gives the reason. "Common practice" means that no
published standard lays it down. How to run the check, and how to silence a finding, is in
[check-in-ci.md](check-in-ci.md).

A rule needs its CVs: a rule about CV 29 finds nothing in a set without it.

## One CV set of a locomotive

${table(one.filter(({ kind }) => kind === "multifunction"))}

## One CV set of any decoder

Locomotives and accessory decoders.

${table(one.filter(({ kind }) => kind !== "multifunction"))}

## Across files

${table(across)}

## Reading and silencing

${table(rest)}

## Rules of a decoder

A decoder description may carry rules of its own. In JSON:

\`\`\`json
"rules": [
  { "rule": "outputs", "outputs": [1, 2, 3, 4, 5, 6, 7, 8] },
  { "rule": "needs", "name": "slabwood-needs-cage", "severity": "warning",
    "when": { "path": "fuel", "is": "slabwood" }, "needs": { "path": "stack", "is": "spark-cage" },
    "why": "Slabwood throws sparks.", "fix": "Fit the spark cage." },
  { "rule": "at-most-one", "name": "one-steam-effect",
    "of": [ { "path": "drains", "not": "off" }, { "path": "blower", "is": true } ] }
]
\`\`\`

- \`outputs\`: these outputs exist, and no others. The rules \`output-missing\` and \`output-without-key\` use the list.
- \`needs\`: where \`when\` holds, \`needs\` must hold too.
- \`at-most-one\`: of these conditions at most one may hold.

A condition is the path of a setting with \`is\` or \`not\` and a value; for a list of names or numbers \`is\` means that
the value is among them. For a setting that does not exist at the moment, such as a field of something that is off,
neither \`is\` nor \`not\` holds. Where the set does not have the CVs, the rule finds nothing. \`severity\` is \`"error"\`
without it; \`why\`, \`fix\` and \`source\` are for people. Findings name such a rule with the decoder's id in front:
\`quillback-s8/slabwood-needs-cage\`. A path or value that the decoder does not have is an error of the description.

## Your own rules

A rule is data and a pure function. Your own rules are made in the same way as the built-in ones:

\`\`\`ts
import { CvSet } from "cvset";
import { checkSet, defineRule, standardRules } from "cvset/check";

const clubAddress = defineRule({
  name: "club/address",
  severity: "warning",
  summary: "The club's own locomotives have addresses from 50 up.",
  source: "club rules, page 2",
  fix: "Ask for a number.",
  find: ({ cvs }) =>
    (cvs.get(1) ?? 99) < 50 ? [{ message: \`CV 1 is \${cvs.get(1)}, below 50\`, places: [{ cv: "1", mask: 255 }] }] : [],
});
checkSet(CvSet.from({ 1: 3, 29: 2 }), { rules: [...standardRules, clubAddress] }).map(({ message }) => message); // ["CV 1 is 3, below 50"]
\`\`\`
`;
}

test("docs/rules.md is the list of rules", () => {
  const text = made();
  if (process.env["CVSET_UPDATE"] === "1") writeFileSync(page, text);
  expect(readFileSync(page, "utf8")).toBe(text);
});
