/** Values of CV 15 and CV 16; -1 for one that nobody knows. */
export interface Lock {
  readonly key: number;
  readonly id: number;
}

/** A write to CV 15 or CV 16. */
export interface LockWrite {
  readonly cv: 15 | 16;
  readonly value: number;
}

/**
 * The writes that open the decoder lock for the other steps, and those that leave it as wanted (S-9.2.2,
 * July 2012, CV 15 and 16: a decoder obeys a write only while the two are equal; CV 15 itself can always
 * be written).
 * @param from What the decoder holds.
 * @param to What is wanted; -1 where nothing is.
 * @param needed Whether there are other steps, which need an open decoder.
 */
export function lockWrites(
  from: Lock,
  to: Lock,
  needed: boolean,
): { before: LockWrite[]; after: LockWrite[] } {
  const before: LockWrite[] = [];
  const after: LockWrite[] = [];
  let key = from.key;
  const changesId = to.id >= 0 && to.id !== from.id;
  const open = (value: number): void => {
    if (key === value) return;
    before.push({ cv: 15, value });
    key = value;
  };
  if ((needed || changesId) && from.id >= 0 && (from.key >= 0 || to.key >= 0 || changesId)) open(from.id);
  if (changesId) {
    if (to.key >= 0 && to.key !== to.id) {
      // The target is locked: one write fewer when the number changes at the very end.
      after.push({ cv: 16, value: to.id });
    } else {
      before.push({ cv: 16, value: to.id });
      open(to.id);
    }
  }
  if (to.key >= 0 && to.key !== key) after.push({ cv: 15, value: to.key });
  return { before, after };
}
