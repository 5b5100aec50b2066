/* The cost of a move with the tool up, from rest to rest. */
#ifndef TRAVEL_H
#define TRAVEL_H

#include "core.h"

/* Limits of the machine, micrometres and seconds; without them the cost is the length. */
static int by_time;
static double speed, top_x, top_y, push_x, push_y;

EXPORT(set_limits)
void set_limits(double all, double of_x, double of_y, double accelerate_x, double accelerate_y) {
  by_time = 1;
  speed = all, top_x = of_x, top_y = of_y, push_x = accelerate_x, push_y = accelerate_y;
}

/* Microseconds of a move by a trapezoid of speed. Not inlined: it would stand in a hundred places. */
static double __attribute__((noinline)) duration(double dx, double dy, double d) {
  dx = __builtin_fabs(dx), dy = __builtin_fabs(dy);
  double push = least(push_x * d / dx, push_y * d / dy);
  double peak = least(least(speed, top_x * d / dx), least(top_y * d / dy, root(d * push)));
  return (d / peak + peak / push) * 1000000;
}

/* Whole micrometres, or whole microseconds when there are limits. */
static double travel(double dx, double dy) {
  double d = root(dx * dx + dy * dy);
  if (by_time && d > 0) d = duration(dx, dy, d);
  return whole(d + 0.5);
}

#endif
