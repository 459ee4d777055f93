/** First bytes of common files that are not text tables, and what to call them. */
const signatures: readonly { readonly bytes: readonly number[]; readonly at?: number; readonly what: string }[] = [
  { bytes: [0x89, 0x50, 0x4e, 0x47], what: "a PNG picture" },
  { bytes: [0xff, 0xd8, 0xff], what: "a JPEG picture" },
  { bytes: [0x47, 0x49, 0x46, 0x38], what: "a GIF picture" },
  { bytes: [0x49, 0x49, 0x2a, 0x00], what: "a TIFF picture" },
  { bytes: [0x4d, 0x4d, 0x00, 0x2a], what: "a TIFF picture" },
  { bytes: [0x57, 0x45, 0x42, 0x50], at: 8, what: "a WebP picture" },
  { bytes: [0x25, 0x50, 0x44, 0x46], what: "a PDF document" },
  { bytes: [0x50, 0x4b, 0x03, 0x04], what: "a ZIP archive or a spreadsheet workbook" },
  { bytes: [0x50, 0x4b, 0x05, 0x06], what: "an empty ZIP archive" },
  { bytes: [0xd0, 0xcf, 0x11, 0xe0], what: "an old binary office document or workbook" },
  { bytes: [0x1f, 0x8b], what: "a gzip archive" },
  { bytes: [0x42, 0x5a, 0x68, 0x39, 0x31, 0x41], what: "a bzip2 archive" },
  { bytes: [0xfd, 0x37, 0x7a, 0x58, 0x5a], what: "an xz archive" },
  { bytes: [0x37, 0x7a, 0xbc, 0xaf], what: "a 7z archive" },
  { bytes: [0x28, 0xb5, 0x2f, 0xfd], what: "a Zstandard archive" },
  { bytes: [0x57, 0x41, 0x56, 0x45], at: 8, what: "a WAV recording" },
  { bytes: [0x52, 0x49, 0x46, 0x46], what: "a RIFF file such as a WAV recording" },
  { bytes: [0x52, 0x46, 0x36, 0x34], what: "a long WAV recording" },
  { bytes: [0x42, 0x57, 0x36, 0x34], what: "a long WAV recording" },
  { bytes: [0x52, 0x49, 0x46, 0x58], what: "a big-endian RIFF file such as a WAV recording" },
  { bytes: [0x72, 0x69, 0x66, 0x66, 0x2e, 0x91, 0xcf, 0x11], what: "a Wave64 recording" },
  { bytes: [0x46, 0x4f, 0x52, 0x4d, 0x00], what: "an AIFF recording" },
  { bytes: [0x41, 0x49, 0x46, 0x46], at: 8, what: "an AIFF recording" },
  { bytes: [0x41, 0x49, 0x46, 0x43], at: 8, what: "an AIFF recording" },
  { bytes: [0x2e, 0x73, 0x6e, 0x64], what: "an AU recording" },
  { bytes: [0x63, 0x61, 0x66, 0x66], what: "a CAF recording" },
  { bytes: [0x66, 0x74, 0x79, 0x70], at: 4, what: "an MPEG-4 recording or film" },
  { bytes: [0x1a, 0x45, 0xdf, 0xa3], what: "a Matroska or WebM recording or film" },
  { bytes: [0x66, 0x4c, 0x61, 0x43], what: "a FLAC recording" },
  { bytes: [0x4f, 0x67, 0x67, 0x53], what: "an Ogg recording" },
  { bytes: [0x49, 0x44, 0x33], what: "an MP3 recording" },
  { bytes: [0x7f, 0x45, 0x4c, 0x46], what: "a program" },
  { bytes: [0x89, 0x48, 0x44, 0x46], what: "an HDF5 file" },
  { bytes: [0x53, 0x51, 0x4c, 0x69, 0x74, 0x65], what: "an SQLite database" },
  { bytes: [0x7b, 0x5c, 0x72, 0x74, 0x66], what: "a rich text document" },
];

/** Text files that are no tables, by how they begin. */
const textBeginnings: readonly { readonly pattern: RegExp; readonly what: string }[] = [
  { pattern: /^\s*<(?:!doctype html|html)/i, what: "a web page" },
  { pattern: /^\s*<\?xml|^\s*<svg/i, what: "an XML document" },
  { pattern: /^\s*(?:\{\s*["}]|\[\s*[{[])/, what: "a JSON file" },
];

/** What a file is by its first bytes when it is a known kind that is not text; undefined otherwise. No unit. */
export function binaryKind(bytes: Uint8Array): string | undefined {
  const found = signatures.find(({ bytes: mark, at = 0 }) => mark.every((byte, i) => bytes[at + i] === byte));
  return found?.what;
}

/** What a text is by how it begins when it is a known kind that is no table; undefined otherwise. No unit. */
export function otherTextKind(text: string): string | undefined {
  const start = text.slice(0, 200);
  return textBeginnings.find(({ pattern }) => pattern.test(start))?.what;
}
