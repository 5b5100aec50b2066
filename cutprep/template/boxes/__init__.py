"""Boxes.

`tray` with or without a lid, `hinged` lid, pieces that fit each other (`sets`), n equal sides as a carton (`prism`)
or with a separate lid (`polygon`), what comes to a `point`, what widens to its rim (`taper`), what closes by tabs and petals (`treat`),
and what falls open or stands on a star (`loose`).
"""
