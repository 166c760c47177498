import { runVectors } from "./run-vectors.js";

runVectors("s922-cv7-8-105-108");
