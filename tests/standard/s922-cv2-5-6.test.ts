import { runVectors } from "./run-vectors.js";

runVectors("s922-cv2-5-6");
