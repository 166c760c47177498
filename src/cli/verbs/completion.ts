import { completionFor, type Shell, shells } from "../completion.js";
import { defineVerb } from "../verb.js";

export const verb = defineVerb({
  summary: "A script that completes verbs, options and files in a shell",
  arguments: [{ name: "SHELL", what: "a shell", kind: "text", words: shells }],
  about: `For bash, write it to ~/.local/share/bash-completion/completions/cvset; for zsh, to a file _cvset in a folder
of $fpath; for fish, to ~/.config/fish/completions/cvset.fish.`,
  options: {},
  examples: ["cvset completion bash -o cvset.bash", "cvset completion fish"],
  async run({ arguments: [shell], io, verbs }) {
    io.document(completionFor(shell as Shell, await verbs()), "text");
    return 0;
  },
});
