import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { type RuleInfo, ruleList, standardRules } from "cvset/check";
import { expect, test } from "vitest";

// Makes docs/rules.md from the rules. With CVSET_UPDATE=1 it is written; otherwise it is compared.

const page = fileURLToPath(new URL("../../docs/rules.md", import.meta.url));
const cell = (text: string): string => text.replaceAll("|", "\\|").replaceAll("\n", " ");

function table(rules: readonly RuleInfo[]): string {
  return [
    "| Rule | Severity | What it finds | How to mend it | Source |",
    "|---|---|---|---|---|",
    ...rules.map(
      ({ name, severity, summary, mend, source }) =>
        `| \`${name}\` | ${severity} | ${cell(summary)} | ${cell(mend)} | ${cell(source)} |`,
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
rules give single findings another severity than the one here, and say why in the message. "Common practice" means
that no published standard says so. How to run the check, and how to silence a finding, is in
[check-in-ci.md](check-in-ci.md).

What a set does not hold is not judged: a rule that needs CV 29 says nothing about a set without it.

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
  { "rule": "needs", "name": "oil-needs-injector", "severity": "warning",
    "when": { "path": "firing", "is": "oil" }, "needs": { "path": "injector", "is": true },
    "why": "An oil burner has no other feed.", "mend": "Switch the injector on." },
  { "rule": "at-most-one", "name": "one-steam-effect",
    "of": [ { "path": "drains", "not": "off" }, { "path": "blower", "is": true } ] }
]
\`\`\`

- \`outputs\`: these outputs exist, and no others. \`output-missing\` and \`output-without-key\` need to know.
- \`needs\`: where \`when\` holds, \`needs\` must hold too.
- \`at-most-one\`: of these conditions at most one may hold.

A condition is the path of a setting with \`is\` or \`not\` and a value; for a list of names or numbers it asks whether
the value is among them. A setting that is not there at the moment, such as a field of something that is off, neither
is nor is not anything; and where the set does not hold the CVs, the rule says nothing. \`severity\` is \`"error"\`
without it; \`why\`, \`mend\` and \`clause\` are for people. Findings name such a rule with the decoder's id in front:
\`quillback-s8/oil-needs-injector\`. A path or value that the decoder does not have is an error of the description.

## Your own rules

A rule is data and a pure function; rules from outside are made as the built-in ones are, and passed along:

\`\`\`ts
import { CvSet } from "cvset";
import { checkSet, defineRule, standardRules } from "cvset/check";

const clubAddress = defineRule({
  name: "club/address",
  severity: "warning",
  summary: "The club's own locomotives have addresses from 50 up.",
  source: "club rules, page 2",
  mend: "Ask for a number.",
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
