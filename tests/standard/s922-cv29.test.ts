import { runVectors } from "./run-vectors.js";

runVectors("s922-cv29");
