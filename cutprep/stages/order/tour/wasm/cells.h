/* Points sorted into square cells, and grouped by rank. */
#ifndef CELLS_H
#define CELLS_H

#include "core.h"

/* Points as columns; `rank` says in what order groups are worked. */
typedef struct {
  int n;
  const double *x, *y;
  const int *rank;
} Points;

/* Members of group g are point[start[g]] to point[start[g + 1] - 1]; groups go by rising rank. */
typedef struct {
  int count;
  int *start, *point;
} Groups;

typedef struct {
  double left, low, side;
  int columns, rows;
  int *head, *link; /* first point of each cell; the next one after each point */
} Grid;

static void sort_keys(wide *keys, wide *spare, int count) {
  for (int shift = 0; shift < 64; shift += 8) {
    int start[257] = {0};
    for (int i = 0; i < count; i++) start[((keys[i] >> shift) & 255) + 1]++;
    if (start[((keys[0] >> shift) & 255) + 1] == count) continue; /* all alike in this byte */
    for (int b = 0; b < 256; b++) start[b + 1] += start[b];
    for (int i = 0; i < count; i++) spare[start[(keys[i] >> shift) & 255]++] = keys[i];
    for (int i = 0; i < count; i++) keys[i] = spare[i];
  }
}

/* Ranks are whole numbers from -1 (home, alone) on. */
static Groups by_rank(const Points *points) {
  int n = points->n;
  Groups groups = {0, take_ints((wide)n + 2), take_ints((wide)n + 1)};
  wide *keys = take(n, sizeof(wide)), *spare = take(n, sizeof(wide));
  for (int i = 1; i <= n; i++) keys[i - 1] = (wide)(points->rank[i] + 1) << 32 | (unsigned)i;
  if (n > 0) sort_keys(keys, spare, n);
  for (int k = 0; k < n; k++) {
    groups.point[k] = (int)(unsigned)keys[k];
    if (k == 0 || keys[k] >> 32 != keys[k - 1] >> 32) groups.start[groups.count++] = k;
  }
  groups.start[groups.count] = n;
  return groups;
}

static int column_of(const Grid *grid, double x) { return (int)whole((x - grid->left) / grid->side); }
static int row_of(const Grid *grid, double y) { return (int)whole((y - grid->low) / grid->side); }

/* Sort points of one group into cells, about two in each; `link` has an entry for each point of all. */
static Grid make_grid(const Points *points, const int *group, int m, int *link) {
  double left = points->x[group[0]], low = points->y[group[0]], right = left, high = low;
  for (int k = 1; k < m; k++) {
    double x = points->x[group[k]], y = points->y[group[k]];
    if (x < left) left = x;
    if (x > right) right = x;
    if (y < low) low = y;
    if (y > high) high = y;
  }
  double width = right - left, height = high - low;
  double side = root((width + 1) * (height + 1) / m * 2);
  double finest = ((width > height ? width : height) + 1) / 1000;
  if (side < finest) side = finest;
  Grid grid = {left, low, side, (int)whole(width / side) + 1, (int)whole(height / side) + 1, 0, link};
  grid.head = take_ints((wide)grid.columns * grid.rows);
  for (int k = m - 1; k >= 0; k--) {
    int i = group[k], cell = row_of(&grid, points->y[i]) * grid.columns + column_of(&grid, points->x[i]);
    link[i] = grid.head[cell];
    grid.head[cell] = i;
  }
  return grid;
}

/* Columns of the cells at a distance from a cell that lie in one row: from `first` to `last` by `step`. */
typedef struct {
  int first, last, step;
} Span;

static Span across(const Grid *grid, int cx, int cy, int ring, int row) {
  int left = cx - ring, right = cx + ring, most = grid->columns - 1;
  if (row == cy - ring || row == cy + ring) return (Span){at_least(left, 0), at_most(right, most), 1};
  return (Span){left >= 0 ? left : right, right <= most ? right : left, 2 * ring};
}

/* Whether cells at this distance from a cell hold all there are. */
static int covers(const Grid *grid, int cx, int cy, int ring) {
  return cx - ring <= 0 && cy - ring <= 0 && cx + ring >= grid->columns - 1 && cy + ring >= grid->rows - 1;
}

#endif
