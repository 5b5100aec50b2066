"""The planar graph: `graph` (the value), `marks` (what lines do to one another), `noding` (marks to nodes and edges), `faces` (what edges bound), `drawn` (the graph back as lines)."""
