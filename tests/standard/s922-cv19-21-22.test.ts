import { runVectors } from "./run-vectors.js";

runVectors("s922-cv19-21-22");
