"""What the ends of lines do: `chains` (traced and joined), `joints` (meet, touch, stop short, stand alone), `crossings`, `closing` (where gaps close)."""
