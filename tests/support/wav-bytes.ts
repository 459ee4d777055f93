// WAV files built by hand, chunk by chunk, with any fault that a test wants; shares nothing with src/measure.

/** Numbers as bytes, in the order of the file. */
export interface Numbers {
  /** 16 bits */
  readonly two: (value: number) => number[];
  /** 32 bits */
  readonly four: (value: number) => number[];
}

/** Lowest byte first, as in RIFF. */
export const little: Numbers = {
  two: (value) => [value & 255, (value >> 8) & 255],
  four: (value) => [value & 255, (value >>> 8) & 255, (value >>> 16) & 255, (value >>> 24) & 255],
};

/** Highest byte first, as in RIFX. */
export const big: Numbers = { two: (value) => little.two(value).reverse(), four: (value) => little.four(value).reverse() };

/** Letters as bytes. */
export function ascii(text: string): number[] {
  return Array.from(text, (letter) => letter.charCodeAt(0));
}

/** A chunk; its told size, and whether the pad byte of an odd one is written, can be wrong. */
export function chunk(id: string, content: readonly number[], { told = content.length, pad = true, order = little }: { told?: number; pad?: boolean; order?: Numbers } = {}): number[] {
  return [...ascii(id), ...order.four(told), ...content, ...(pad && content.length % 2 === 1 ? [0] : [])];
}

/** What a format chunk tells; everything can contradict everything. */
export interface Told {
  readonly number?: number;
  readonly channels?: number;
  readonly rate?: number;
  readonly bits?: number;
  readonly block?: number;
  readonly bytesEachSecond?: number;
  readonly order?: Numbers;
}

/** A format chunk of 16 bytes. */
export function format({ number = 1, channels = 1, rate = 48000, bits = 16, block = channels * Math.ceil(bits / 8), bytesEachSecond = rate * block, order = little }: Told = {}): number[] {
  return chunk("fmt ", [...order.two(number), ...order.two(channels), ...order.four(rate), ...order.four(bytesEachSecond), ...order.two(block), ...order.two(bits)], { order });
}

/** The identifier of an old format number, in the order of the file. */
export function identifier(number: number, order: Numbers = little): number[] {
  return [...order.four(number), ...order.two(0), ...order.two(0x10), 0x80, 0x00, 0x00, 0xaa, 0x00, 0x38, 0x9b, 0x71];
}

/** An extensible format chunk of 40 bytes. */
export function extensible(told: Told & { valid?: number; kind?: readonly number[] } = {}): number[] {
  const { bits = 24, channels = 1, rate = 48000, order = little } = told;
  const plain = format({ ...told, number: 0xfffe, bits, channels, rate }).slice(8);
  return chunk("fmt ", [...plain, ...order.two(22), ...order.two(told.valid ?? bits), ...order.four(0), ...(told.kind ?? identifier(1, order))], { order });
}

/** A whole file; its told size can be wrong. */
export function riff(chunks: readonly (readonly number[])[], { container = "RIFF", form = "WAVE", told, order = little }: { container?: string; form?: string; told?: number; order?: Numbers } = {}): Uint8Array {
  const content = chunks.flatMap((one) => [...one]);
  return Uint8Array.from([...ascii(container), ...order.four(told ?? content.length + 4), ...ascii(form), ...content]);
}

/** Whole numbers of 8 (from zero up), 16, 24 or 32 bits. */
export function whole(bits: 8 | 16 | 24 | 32, values: readonly number[], order: Numbers = little): number[] {
  if (bits === 8) return values.map((value) => value & 255);
  return values.flatMap((value) => {
    const bytes = little.four(value).slice(0, bits / 8);
    return order === little ? bytes : bytes.reverse();
  });
}

/** Floating point of 32 or 64 bits. */
export function floating(bits: 32 | 64, values: readonly number[], order: Numbers = little): number[] {
  return values.flatMap((value) => {
    const view = new DataView(new ArrayBuffer(bits / 8));
    if (bits === 32) view.setFloat32(0, value, order === little);
    else view.setFloat64(0, value, order === little);
    return [...new Uint8Array(view.buffer)];
  });
}

/** The chunk of long sizes: of the file, of the samples, of frames, and a table. */
export function longSizes(data: number, { riffBytes = 0, frames = 0, table = [] as readonly (readonly [string, number])[] } = {}): number[] {
  const eight = (value: number): number[] => [...little.four(value % 2 ** 32), ...little.four(Math.floor(value / 2 ** 32))];
  return chunk("ds64", [...eight(riffBytes), ...eight(data), ...eight(frames), ...little.four(table.length), ...table.flatMap(([id, size]) => [...ascii(id), ...eight(size)])]);
}

/** A list of texts, as recorders write them. */
export function infoList(texts: Readonly<Record<string, string>>, order: Numbers = little): number[] {
  return chunk("LIST", [...ascii("INFO"), ...Object.entries(texts).flatMap(([id, text]) => chunk(id, [...new TextEncoder().encode(text), 0], { order }))], { order });
}

/** A broadcast extension chunk. */
export function broadcast({ description = "", originator = "", date = "", time = "", history = "" }): number[] {
  const fixed = (text: string, length: number): number[] => [...ascii(text), ...new Array<number>(length).fill(0)].slice(0, length);
  return chunk("bext", [...fixed(description, 256), ...fixed(originator, 32), ...fixed("", 32), ...fixed(date, 10), ...fixed(time, 8), ...fixed("", 8 + 2 + 254), ...ascii(history)]);
}
