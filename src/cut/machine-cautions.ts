/** What anyone at a cutting machine keeps to, a sentence each, plain text; the machine's manual and the rules of the place come first. Common practice, no source. */
export const machineCautions: readonly string[] = Object.freeze([
  "The manual of your machine and the rules of the place where it stands come first; these files say nothing about power, speed or focus.",
  "Laser: never leave it alone while it cuts, with an extinguisher or a fire blanket in reach; extraction on and led outside; eye protection for its wavelength, covers closed; look for embers under the sheet and in the waste before you go.",
  "Wood glues, plastics and coatings may give off poisonous fumes: cut only sheets of which you know what they are made of, and nothing that holds chlorine (PVC).",
  "Mill: clamp the sheet and every piece before it comes free, eye and ear protection on, dust extracted, hands and sleeves away while the tool turns.",
  "Dry run first, tool off or raised: the outline must lie on the sheet, clear of clamps. Check one piece's size with a caliper before you cut the rest.",
]);
