/**
 * Sentences of the library that name an argument of a call, in the words of the command line, by the code of the
 * issue. `messageOf` and `fileMessage` take them.
 */
export const wording: Readonly<Record<string, string>> = {
  "unknown-bits":
    "not known, and the other bits of the CV are to be written: give the present CVs, as in encode --base CVS",
  "derived-unknown":
    "not known, and a value that is to be written is worked out from it: give the present CVs, as in encode --base CVS",
  "address-on-main":
    "holds an address, which is changed on the main only with --change-address: keep all other decoders off the track",
};
