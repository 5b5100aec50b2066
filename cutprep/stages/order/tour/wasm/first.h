/* Two quick tours: shortest edge first, and nearest end next. */
#ifndef FIRST_H
#define FIRST_H

#include "near.h"

/* Fragments of a tour: one or two neighbours of each point (0 for none), and the fragment's root. */
typedef struct {
  int *one, *two, *root;
} Fragments;

static int find(int *root, int i) {
  while (root[i] != i) {
    root[i] = root[root[i]];
    i = root[i];
  }
  return i;
}

static void connect(Fragments *all, int i, int j) {
  if (all->one[i] == 0) all->one[i] = j; else all->two[i] = j;
  if (all->one[j] == 0) all->one[j] = i; else all->two[j] = i;
  all->root[find(all->root, i)] = find(all->root, j);
}

/* Ends of the fragments as points of their own, each with the other end of its fragment as mate. */
typedef struct {
  Points points;
  double *x, *y;
  int *rank, *of, *mate;
  int several; /* whether any rank has more than one fragment */
} Ends;

static Ends find_ends(const Points *points, Fragments *all, int lowest, int ranks) {
  int n = points->n;
  Ends ends = {{0}, take_doubles((wide)n + 1), take_doubles((wide)n + 1), take_ints((wide)n + 1),
               take_ints((wide)n + 1), take_ints((wide)n + 1), 0};
  int *first = take_ints((wide)n + 1), *whole_rank = take_ints(ranks);
  int m = 0;
  for (int i = 1; i <= n; i++) {
    if (all->two[i] != 0) continue;
    m++;
    int rank = points->rank[i], fragment = find(all->root, i), partner = first[fragment];
    ends.of[m] = i, ends.x[m] = points->x[i], ends.y[m] = points->y[i], ends.rank[m] = rank;
    if (partner) ends.mate[m] = partner, ends.mate[partner] = m;
    else first[fragment] = m;
    int *seen = &whole_rank[rank - lowest];
    if (*seen && *seen != fragment) ends.several = 1;
    *seen = fragment;
  }
  ends.points = (Points){m, ends.x, ends.y, ends.rank};
  return ends;
}

/* Connect near ends, shortest edge first. */
static void connect_near(Fragments *all, const Ends *ends, int k) {
  int m = ends->points.n, count = 0;
  const int *lists = near_lists(&ends->points, ends->mate, k);
  wide *keys = take((wide)m * k, sizeof(wide)), *spare = take((wide)m * k, sizeof(wide));
  for (int i = 1; i <= m; i++)
    for (int q = i * k; q < (i + 1) * k && lists[q] != 0; q++) {
      double dx = ends->x[i] - ends->x[lists[q]], dy = ends->y[i] - ends->y[lists[q]];
      keys[count++] = (wide)whole(root(dx * dx + dy * dy) + 0.5) << 28 | (unsigned)q;
    }
  if (count) sort_keys(keys, spare, count);
  for (int c = 0; c < count; c++) {
    int q = (int)(keys[c] & 0xfffffff), i = ends->of[q / k], j = ends->of[lists[q]];
    if (all->two[i] == 0 && all->two[j] == 0 && find(all->root, i) != find(all->root, j)) connect(all, i, j);
  }
}

/* Connect until each rank is one path. */
static Fragments connect_all(const Points *points, const int *mate, int k) {
  int n = points->n, lowest = points->rank[1], highest = lowest;
  Fragments all = {take_ints((wide)n + 1), take_ints((wide)n + 1), take_ints((wide)n + 1)};
  for (int i = 1; i <= n; i++) {
    all.root[i] = i;
    lowest = at_most(lowest, points->rank[i]), highest = at_least(highest, points->rank[i]);
  }
  for (int i = 1; i <= n; i++)
    if (mate[i] > i) connect(&all, i, mate[i]);
  wide mark = heap_top;
  for (;;) {
    Ends ends = find_ends(points, &all, lowest, highest - lowest + 1);
    if (!ends.several) return all;
    connect_near(&all, &ends, k);
    give_back(mark);
  }
}

/* The free end of a rank's path that is nearest to a point. */
static int nearest_end(const Points *points, const Fragments *all, const int *group, int m, int at) {
  int begin = 0;
  double reach = 0;
  for (int g = 0; g < m; g++) {
    int i = group[g];
    if (all->two[i] != 0) continue;
    double dx = points->x[i] - points->x[at], dy = points->y[i] - points->y[at], d = dx * dx + dy * dy;
    if (begin == 0 || d < reach) begin = i, reach = d;
  }
  return begin;
}

/* A tour from point 1 (home, alone in its rank) through the ranks, shortest edge first: its points from
 * entry 1 on. */
static int *greedy_tour(const Points *points, const int *mate, int k) {
  int *tour = take_ints((wide)points->n + 1);
  Fragments all = connect_all(points, mate, k);
  Groups groups = by_rank(points);
  int at = 1, placed = 0;
  for (int r = 0; r < groups.count; r++) {
    int m = groups.start[r + 1] - groups.start[r], last = 0;
    int i = nearest_end(points, &all, groups.point + groups.start[r], m, at);
    while (i != 0) {
      tour[++placed] = at = i;
      int to = all.one[i] != last ? all.one[i] : all.two[i] != last ? all.two[i] : 0;
      last = i, i = to;
    }
  }
  return tour;
}

/* ------------------------------------------------------------ always the nearest end next */
typedef struct {
  const Points *points;
  const int *owner; /* whose a point is; points of one owner count once */
  char *used;       /* owners that are done */
  double x, y;
  int best;
  double reach;
} Walk;

/* Look into a cell, and take points out of it whose owners are done. */
static void look_for_next(const Grid *grid, int cell, Walk *walk) {
  int before = 0;
  for (int j = grid->head[cell]; j != 0; j = grid->link[j]) {
    if (walk->used[walk->owner[j]]) {
      if (before == 0) grid->head[cell] = grid->link[j]; else grid->link[before] = grid->link[j];
      continue;
    }
    double dx = walk->x - walk->points->x[j], dy = walk->y - walk->points->y[j], d = dx * dx + dy * dy;
    if (walk->best == 0 || d < walk->reach || (d == walk->reach && j < walk->best)) walk->best = j, walk->reach = d;
    before = j;
  }
}

static int beyond(int c, int count) { return c < 0 ? -c : c >= count ? c - count + 1 : 0; }

static void find_next(const Grid *grid, Walk *walk) {
  int cx = column_of(grid, walk->x), cy = row_of(grid, walk->y);
  walk->best = 0;
  for (int ring = at_least(beyond(cx, grid->columns), beyond(cy, grid->rows));; ring++) {
    for (int gy = at_least(cy - ring, 0); gy <= at_most(cy + ring, grid->rows - 1); gy++) {
      Span span = across(grid, cx, cy, ring, gy);
      for (int gx = span.first; gx <= span.last; gx += span.step)
        look_for_next(grid, gy * grid->columns + gx, walk);
    }
    double reach = ring * grid->side;
    if ((walk->best != 0 && walk->reach <= reach * reach) || covers(grid, cx, cy, ring)) return;
  }
}

/* How many owners a group has; `used` is clean before and after. */
static int count_owners(const Walk *walk, const int *group, int m) {
  int count = 0;
  for (int g = 0; g < m; g++) {
    char *used = &walk->used[walk->owner[group[g]]];
    count += !*used;
    *used = 1;
  }
  for (int g = 0; g < m; g++) walk->used[walk->owner[group[g]]] = 0;
  return count;
}

/* The points at which the lines are entered, rank by rank, each the nearest to where the one before was
 * left: at `leave` of its point. */
EXPORT(nearest_walk)
int *nearest_walk(int n, const double *x, const double *y, const int *rank, const int *owner, const int *leave,
                  double home_x, double home_y) {
  Points points = {n, x, y, rank};
  int *entered = take_ints((wide)n + 1), *link = take_ints((wide)n + 1);
  Walk walk = {.points = &points, .owner = owner, .used = take((wide)n + 1, 1), .x = home_x, .y = home_y};
  Groups groups = by_rank(&points);
  for (int r = 0, placed = 0; r < groups.count; r++) {
    const int *group = groups.point + groups.start[r];
    int m = groups.start[r + 1] - groups.start[r];
    wide mark = heap_top;
    Grid grid = make_grid(&points, group, m, link);
    for (int left = count_owners(&walk, group, m); left > 0; left--) {
      find_next(&grid, &walk);
      entered[++placed] = walk.best;
      walk.used[owner[walk.best]] = 1;
      walk.x = x[leave[walk.best]], walk.y = y[leave[walk.best]];
    }
    give_back(mark);
  }
  return entered;
}

#endif
