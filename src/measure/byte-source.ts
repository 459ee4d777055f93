/** A piece of a file that a reader asks for. */
export interface ByteRequest {
  /** place of its first byte in the file, bytes */
  readonly at: number;
  /** how much, bytes; always inside the file */
  readonly length: number;
  /** share of the work that is done before this piece, 0 to 1, no unit */
  readonly done: number;
}

/**
 * A reader that asks for one piece of a file after the other, gets its bytes, and returns what it made of them. So the same reader works on bytes
 * in memory and on a file on disk, whose pieces are read one at a time. The bytes of a piece are used before the next one is asked for.
 */
export type ByteReader<T> = Generator<ByteRequest, T, Uint8Array>;

/** Runs a reader on bytes in memory, without copying them; no unit. */
export function readFromBytes<T>(reader: ByteReader<T>, bytes: Uint8Array): T {
  let step = reader.next();
  while (!step.done) step = reader.next(bytes.subarray(step.value.at, step.value.at + step.value.length));
  return step.value;
}
