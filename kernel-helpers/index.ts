// Every name that a notebook may use, one block for each step of the job.

// Begin, show, record
export { begin } from "./show/loader.js";
export { show } from "./show/show.js";
export { headline } from "./show/headline.js";
export { progress } from "./show/progress.js";

// What does this driver do?
export { driver } from "./words/driver.js";
export { hotDriver } from "./words/hot-driver.js";

// Which enclosure?
export { path } from "./words/path.js";
export { closedBox, passiveRadiatorBox, tappedHorn, ventedBox } from "./words/enclosures.js";
export { fourthOrderBandPass, sixthOrderBandPass } from "./words/band-pass.js";
export { openBaffle, transmissionLine } from "./words/lines.js";
export { backHorn, frontHorn, tappedPipe } from "./words/horns.js";
export { ownNetwork } from "./words/network.js";

// Where does it play?
export { space } from "./words/space.js";

// How does it play?
export { predict } from "./words/predict.js";
export { alongPath, coneLoad, cumulativeDecay, impulseResponse, minimumPhase, openingContributions, panelPressure, powerFlow, shortTimeSpectrum, snapshot } from "./words/results.js";
export { compare } from "./words/compare.js";
export { atVolume, compareDesigns } from "./words/compare-designs.js";
export { tappedHornClaim } from "./words/tapped-horn-claim.js";
export { uncertain } from "./words/spread.js";

// How does it fold into the box?
export { fold } from "./words/fold.js";
export { predictAsBuilt } from "./words/predict-as-built.js";

// How do I cut it?
export { cutLayers } from "./words/cut-layers.js";
export { nest } from "./words/nest.js";
export { cutTime } from "./words/cut-time.js";
export { saveCutFiles } from "./words/save-cut-files.js";
export { kerfFrom, kerfTest, testCuts } from "./words/machine-tests.js";
export { focusFrom, focusTest } from "./words/focus-test.js";

// What did I build?
export { pinkNoise, steppedSines, sweepSignal } from "./words/test-signal.js";
export { readSignal, saveSignal } from "./words/test-signal-file.js";
export { sweepCaution } from "./words/signal-caution.js";
export { readRecording, readRecordings, saveRecording } from "./words/recording.js";
export { readFolder, readImpulse, readSweeps } from "./words/text-data.js";
export { impulseFrom } from "./words/impulse-from.js";
export { calibrated, levelCalibration, microphone } from "./words/calibration.js";
export { impedanceFrom } from "./words/impedance-from.js";
export { responseFrom } from "./words/response-from.js";
export { responseFromSteps } from "./words/response-from-steps.js";
export { aligned, smoothed, weighted } from "./words/smooth-align.js";
export { excessPhase } from "./words/excess-phase.js";
export { nearField, spliced } from "./words/near-field.js";
export { averaged, difference, sum } from "./words/combine-curves.js";
export { bandLevels } from "./words/band-levels.js";
export { overlay, readSweep } from "./words/measure.js";
export { explain } from "./words/explain.js";
export { driverFrom } from "./words/driver-from.js";
export { boxTuningFrom, leakFrom } from "./words/box-from.js";
export { sameDriver } from "./words/same-driver.js";

// Keep it
export { readDesign, saveDesign } from "./words/design-file.js";
