import { runVectors } from "./run-vectors.js";

runVectors("s922-cv65-95");
