"""What may be asked for: which scores are made from the back, and what the turned sheet is laid by."""

from __future__ import annotations

from cutprep.model.operation import Fold

#: Word to the fold whose scores are made from the back. A knife's part-depth score opens on the side that it is cut
#: from, so it is made on the outside of the fold; a stylus is used either way (common practice, no published source).
FROM_BACK = {"nothing": Fold.UNSAID, "mountains": Fold.MOUNTAIN, "valleys": Fold.VALLEY}
#: The turned sheet lies against the same edges, or where four crosses are found that were cut through it.
TURN_BY = ("edges", "marks")
