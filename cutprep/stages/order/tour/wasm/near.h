/* Which points lie near which. */
#ifndef NEAR_H
#define NEAR_H

#include "cells.h"

#define MOST_NEAR 32

/* The nearest points of one point so far, nearest first. */
typedef struct {
  int k, got, seen, crowd;
  int point[MOST_NEAR];
  double square[MOST_NEAR]; /* of the distance */
} Nearest;

static void weigh(Nearest *best, int j, double square) {
  if (best->got == best->k && square >= best->square[best->got - 1]) return;
  if (best->got < best->k) best->got++;
  int p = best->got - 1;
  for (; p > 0 && best->square[p - 1] > square; p--) {
    best->square[p] = best->square[p - 1];
    best->point[p] = best->point[p - 1];
  }
  best->square[p] = square, best->point[p] = j;
}

static void look_into(const Grid *grid, int cell, const Points *points, int i, int mate, Nearest *best) {
  for (int j = grid->head[cell]; j != 0 && best->seen < best->crowd; j = grid->link[j]) {
    if (j == i || mate == j) continue;
    best->seen++;
    double dx = points->x[i] - points->x[j], dy = points->y[i] - points->y[j];
    weigh(best, j, dx * dx + dy * dy);
  }
}

/* Look into the cells around a point, ring by ring, until the next ring can't hold a nearer one. */
static void look_around(const Grid *grid, const Points *points, int i, int mate, Nearest *best) {
  int cx = column_of(grid, points->x[i]), cy = row_of(grid, points->y[i]);
  for (int ring = 0;; ring++) {
    for (int gy = at_least(cy - ring, 0); gy <= at_most(cy + ring, grid->rows - 1); gy++) {
      Span span = across(grid, cx, cy, ring, gy);
      for (int gx = span.first; gx <= span.last; gx += span.step)
        look_into(grid, gy * grid->columns + gx, points, i, mate, best);
    }
    double reach = ring * grid->side;
    if (covers(grid, cx, cy, ring)) return;
    if (best->got == best->k && (best->square[best->k - 1] <= reach * reach || best->seen >= best->crowd)) return;
  }
}

/* The k nearest points of the same rank for each point i, at [i * k], nearest first, 0 where there are
 * fewer. The other end of a line is left out. A crowd in one cell is looked at up to a limit only: a
 * thousand points on one spot are all near. */
static int *near_lists(const Points *points, const int *mate, int k) {
  int *lists = take_ints(((wide)points->n + 1) * k);
  wide all = heap_top;
  Groups groups = by_rank(points);
  int *link = take_ints((wide)points->n + 1);
  for (int g = 0; g < groups.count; g++) {
    const int *group = groups.point + groups.start[g];
    int m = groups.start[g + 1] - groups.start[g];
    wide mark = heap_top;
    Grid grid = make_grid(points, group, m, link);
    for (int member = 0; member < m; member++) {
      int i = group[member];
      Nearest best = {.k = k, .crowd = 64 * k};
      look_around(&grid, points, i, mate[i], &best);
      for (int q = 0; q < best.got; q++) lists[(wide)i * k + q] = best.point[q];
    }
    give_back(mark);
  }
  give_back(all);
  return lists;
}

#endif
