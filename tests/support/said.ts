import { CvError, messageOf } from "cvset";

/** What is said of the issues of a `CvError` that some work throws; an empty list where it throws nothing. */
export function saidBy(work: () => unknown): string[] {
  try {
    work();
  } catch (error) {
    if (error instanceof CvError) return error.issues.map((issue) => messageOf(issue));
    throw error;
  }
  return [];
}
