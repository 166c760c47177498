import type { SheetSection } from "./sheet.js";

/** What whoever works on the locomotive has to know. */
export const cautions: SheetSection = {
  id: "cautions",
  title: "Cautions",
  blocks: [
    {
      kind: "list",
      items: [
        "Track voltage is low, and can hurt people and models all the same.",
        "Program on an isolated, current-limited programming track: more than 250 mA for over 100 ms is a fault (NMRA S-9.2.3, July 2012).",
        "Switch smoke units, sound and lamps off while programming. A smoke unit gets hot.",
        "An LED needs its series resistor, whatever a CV says.",
        "Do not write an address on the main while other locomotives are on the track.",
        "Follow the decoder maker's manual, the limits of the command station and the local electrical rules; leave mains wiring to a licensed person.",
      ],
    },
  ],
};
