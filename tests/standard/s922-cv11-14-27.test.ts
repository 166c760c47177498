import { runVectors } from "./run-vectors.js";

runVectors("s922-cv11-14-27");
