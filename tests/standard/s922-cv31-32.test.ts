import { runVectors } from "./run-vectors.js";

runVectors("s922-cv31-32");
