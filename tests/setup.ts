import fc from "fast-check";

/** Property tests draw the same cases in every run; RAMTAILOR_SEED draws others. */
fc.configureGlobal({ seed: Number(process.env.RAMTAILOR_SEED ?? 20261125) });
