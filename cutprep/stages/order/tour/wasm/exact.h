/* The best order of a small job, by dynamic programming over sets of lines (Held and Karp 1962), rank after
 * rank: what each rank may end with is handed to the next.
 *
 * A choice is one way to work a line: where it is entered and left, and what that costs in itself. Entries of
 * columns count from 0 here.
 */
#ifndef EXACT_H
#define EXACT_H

#include "travel.h"

/* Choices of one rank. after[c * lines + v] is the cost of choice c when line v has been worked before it. */
typedef struct {
  int choices, lines;
  const int *line;
  const double *x, *y, *leave_x, *leave_y, *own, *after;
} Rank;

/* What a rank may end with: where, at what cost, and after which end of the rank before it was entered. */
typedef struct {
  int count;
  int *choice;
  double *x, *y, *cost;
} Ending;

/* For set s of lines and choice c, the last of them: cost[s * choices + c], and the choice before. */
typedef struct {
  double *cost;
  int *back;
  int *entered; /* by choice: the ending of the rank before, when the choice comes first */
} Table;

static void enter(const Rank *rank, const Ending *before, Table *table) {
  for (int c = 0; c < rank->choices; c++) {
    double most = INFINITE;
    for (int e = 0; e < before->count; e++) {
      double d = before->cost[e] + travel(before->x[e] - rank->x[c], before->y[e] - rank->y[c]);
      if (d < most) most = d, table->entered[c] = e;
    }
    table->cost[(1 << rank->line[c]) * rank->choices + c] = most + rank->own[c];
  }
}

static double cost_after(const Rank *rank, int c, int set) {
  double sum = rank->own[c];
  for (int v = 0; v < rank->lines; v++)
    if (set >> v & 1) sum += rank->after[c * rank->lines + v];
  return sum;
}

static double *steps_between(const Rank *rank) {
  double *step = take_doubles((wide)rank->choices * rank->choices);
  for (int d = 0; d < rank->choices; d++)
    for (int c = 0; c < rank->choices; c++)
      step[d * rank->choices + c] = travel(rank->leave_x[c] - rank->x[d], rank->leave_y[c] - rank->y[d]);
  return step;
}

static void extend(const Rank *rank, Table *table, const double *step) {
  int count = rank->choices, full = 1 << rank->lines;
  for (int set = 1; set < full; set++)
    for (int d = 0; d < count; d++) {
      if (set >> rank->line[d] & 1) continue;
      const double *cost = table->cost + set * count;
      double most = INFINITE, more = cost_after(rank, d, set);
      int which = -1, to = (set | 1 << rank->line[d]) * count + d;
      for (int c = 0; c < count; c++)
        if (cost[c] + step[d * count + c] < most) most = cost[c] + step[d * count + c], which = c;
      if (most + more < table->cost[to]) table->cost[to] = most + more, table->back[to] = which;
    }
}

static Table solve_rank(const Rank *rank, const Ending *before) {
  wide size = (wide)rank->choices << rank->lines;
  Table table = {take_doubles(size), take_ints(size), take_ints(rank->choices)};
  for (wide s = 0; s < size; s++) table.cost[s] = INFINITE, table.back[s] = -1;
  enter(rank, before, &table);
  extend(rank, &table, steps_between(rank));
  return table;
}

static Ending endings(const Rank *rank, const Table *table) {
  Ending end = {0, take_ints(rank->choices), take_doubles(rank->choices), take_doubles(rank->choices),
                take_doubles(rank->choices)};
  const double *cost = table->cost + ((1 << rank->lines) - 1) * rank->choices;
  for (int c = 0; c < rank->choices; c++) {
    if (cost[c] == INFINITE) continue;
    int e = end.count++;
    end.choice[e] = c, end.x[e] = rank->leave_x[c], end.y[e] = rank->leave_y[c], end.cost[e] = cost[c];
  }
  return end;
}

/* Follow a rank's choices from the last to the first. Returns the ending of the rank before. */
static int trace(const Rank *rank, const Table *table, int c, int *picked) {
  int set = (1 << rank->lines) - 1, place = rank->lines;
  for (;;) {
    picked[--place] = c;
    int previous = table->back[set * rank->choices + c];
    if (previous < 0) return table->entered[c];
    set &= ~(1 << rank->line[c]), c = previous;
  }
}

/* The choices of each rank in the best order, one rank after the other. */
EXPORT(solve_exactly) int *solve_exactly(int count, const Rank *ranks, double home_x, double home_y) {
  Table *tables = take(count, sizeof(Table));
  Ending *ends = take((wide)count + 1, sizeof(Ending));
  static double x, y, nothing;
  x = home_x, y = home_y;
  ends[0] = (Ending){1, 0, &x, &y, &nothing};
  int lines = 0, which = 0;
  for (int r = 0; r < count; r++) {
    tables[r] = solve_rank(&ranks[r], &ends[r]);
    ends[r + 1] = endings(&ranks[r], &tables[r]);
    lines += ranks[r].lines;
  }
  double most = INFINITE;
  for (int e = 0; e < ends[count].count; e++) {
    double sum = ends[count].cost[e] + travel(ends[count].x[e] - home_x, ends[count].y[e] - home_y);
    if (sum < most) most = sum, which = e;
  }
  int *picked = take_ints(lines);
  for (int r = count - 1; r >= 0; r--) {
    lines -= ranks[r].lines;
    which = trace(&ranks[r], &tables[r], ends[r + 1].choice[which], picked + lines);
  }
  return picked;
}

#endif
