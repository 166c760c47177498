#!/usr/bin/env node
import { writeSync } from "node:fs";
import { main } from "./main.js";
import { streamsOf } from "./process-streams.js";

const streams = streamsOf(process, (text) => {
  writeSync(2, text);
  process.exit(2);
});

// Setting the status instead of leaving at once lets a slow pipe take all of the output.
process.exitCode = await main(process.argv.slice(2), streams);
