import no9 from "../../../docs/examples/no9.settings.json" with { type: "json" };
import { checkSet, formatText } from "../../check/index.js";
import { placesInWords } from "../../cv/places-text.js";
import type { AnyDecoder } from "../../decoder/decoder.js";
import { explain } from "../../decoder/explain.js";
import { quillback } from "../../demo/quillback-s8.js";
import { writeSettings } from "../../files/index.js";
import { plan } from "../../plan/index.js";
import { columns, wrap } from "../layout.js";
import { defineVerb } from "../verb.js";

export const verb = defineVerb({
  summary: "A whole invented locomotive, from words to CVs and back",
  arguments: [],
  options: {},
  examples: ["cvset demo"],
  async run(call) {
    const { io } = call;
    const { decoder, name, settings } = no9;
    const title = (text: string): void => io.line("", `== ${text}`, "");

    io.line(
      `${name}: a freelance narrow-gauge 2-8-2 with a ${quillback.name}. Locomotive and decoder are invented.`,
    );

    title("Its settings, in words");
    const words = writeSettings({ decoder, name, settings });
    io.document(words, "json");

    title("The same in CVs, CV number = value: what `cvset encode` makes of them");
    const result = quillback.tryEncode(settings);
    if (!result.ok) throw new Error("the demo's own settings cannot be stored");
    const cvs = result.value;
    const numbers = [...cvs].map(([cv, value]) => `${cv}=${value}`).join(" ");
    io.line(...wrap(numbers, io.width - 2).map((line) => `  ${line}`));

    title("And back: what `cvset decode` reads from it");
    const back = writeSettings({ decoder, name, settings: quillback.decode(cvs) });
    if (back === words) io.line("The same settings, byte for byte.");
    else io.document(back, "json");

    title("Several choices in one byte: what `cvset explain` says of CV 218, 224, 231, 243 and 246");
    const shown = new Set(["218", "224", "231", "243", "246"]);
    const { lines } = explain(quillback, cvs);
    io.line(
      ...columns(
        lines
          .filter(({ places }) => places.some(({ cv }) => shown.has(cv)))
          .map(({ path, text, places }) => [path, text, placesInWords(places)]),
        io.width,
      ),
    );

    title("One change on top of what is in the decoder: slabwood instead of coal, no drain cocks");
    const changed = quillback.patch({ fuel: "slabwood", drains: "off" });
    for (const { cv, mask, value } of changed) {
      const from = cvs.get(cv) ?? 0;
      io.line(
        `  CV ${cv}: ${from} -> ${(from & ~mask) | value} (${placesInWords([{ cv, mask }])}; the other bits stay)`,
      );
    }

    title("Does it make sense? What `cvset check` finds");
    const findings = checkSet(cvs, { decoder: quillback as AnyDecoder, file: name });
    io.line(...indented(formatText({ files: [name], findings })));

    title("The change as writes, with the packets of service mode: what `cvset plan` makes of it");
    for (const { cv, value, packets } of plan(cvs, cvs.apply(changed)).steps) {
      io.line(`  CV ${cv} = ${value}: ${packets.join(", ")}`);
    }

    title("Before you write them");
    io.line(...cautions.map((line) => `  ${line}`));
    title("A locomotive of your own");
    io.line(
      `  cvset new ${decoder} --output no1.json   a file to start with; "cvset --help" lists what comes then`,
    );
    return back === words ? 0 : 1;
  },
});

const indented = (text: string): string[] =>
  text
    .trimEnd()
    .split("\n")
    .map((line) => `  ${line}`);

const cautions = [
  "Program on an isolated, current-limited programming track (S-9.2.3 (July 2012): more than 250 mA for over 100 ms is a fault).",
  "Switch smoke units, sound and lamps off while programming; a smoke unit gets hot.",
  "An LED needs its series resistor, whatever a CV says.",
  "Follow the decoder maker's manual, the limits of your command station and your local electrical rules.",
];
