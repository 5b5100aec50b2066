/* Where each line of an order is entered so that the way and what the entries cost are least: dynamic
 * programming along the order, exact for these entries (Bellman 1957).
 *
 * Columns count from 0 here. Places are in the unit of the limits, and costs in that of the way: no rounding.
 */
#ifndef CHOOSE_H
#define CHOOSE_H

#include "travel.h"

static double leg(double dx, double dy) {
  double d = root(dx * dx + dy * dy);
  return by_time && d > 0 ? duration(dx, dy, d) / 1000000 : d;
}

/* Entry points as columns; line i has those from first[i] to first[i + 1] - 1. */
typedef struct {
  const int *first;
  const double *x, *y, *leave_x, *leave_y;
} Entries;

/* The least cost up to entry e, and the entry of the line before that it takes. */
static double cheapest(const Entries *points, const double *paid, int before, int e, int *from) {
  double most = INFINITE;
  for (int b = points->first[before]; b < points->first[before + 1]; b++) {
    double d = leg(points->x[e] - points->leave_x[b], points->y[e] - points->leave_y[b]) + paid[b];
    if (d < most) most = d, *from = b;
  }
  return most;
}

/* The entry of each line, by line. */
EXPORT(choose_entries)
int *choose_entries(int lines, const int *order, const int *first, const double *x, const double *y,
                    const double *leave_x, const double *leave_y, const double *own, double home_x, double home_y) {
  Entries points = {first, x, y, leave_x, leave_y};
  double *paid = take_doubles(first[lines]), most = INFINITE;
  int *from = take_ints(first[lines]), *chosen = take_ints(lines), last = 0;
  for (int k = 0; k < lines; k++)
    for (int e = first[order[k]]; e < first[order[k] + 1]; e++)
      paid[e] = own[e] + (k == 0 ? leg(x[e] - home_x, y[e] - home_y)
                                 : cheapest(&points, paid, order[k - 1], e, &from[e]));
  for (int e = first[order[lines - 1]]; e < first[order[lines - 1] + 1]; e++) {
    double d = paid[e] + leg(home_x - leave_x[e], home_y - leave_y[e]);
    if (d < most) most = d, last = e;
  }
  for (int k = lines - 1; k >= 0; k--) chosen[order[k]] = last, last = from[last];
  return chosen;
}

#endif
