"""The pair of wires at the level of bits: waveforms, overlap, receivers, noise."""
