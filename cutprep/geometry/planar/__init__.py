"""Lines as a planar graph: ends that meet, crossings, chains, outlines."""
