import type { CvSet } from "cvset";
import { imageOf as readOnlyImage } from "../../src/cv/cvset.js";
import { CvImage } from "../../src/cv/image.js";

/** A working copy of a set, to be written in place. */
export const imageOf = (cvs: CvSet): CvImage => new CvImage(readOnlyImage(cvs));
