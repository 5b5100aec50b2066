g20 g91
g1x1y1f10
g92 x0
/g0 x[1+2]
g18 g2 x1 z1 i1 k0
m30
