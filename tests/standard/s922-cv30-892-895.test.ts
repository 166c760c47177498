import { runVectors } from "./run-vectors.js";

runVectors("s922-cv30-892-895");
