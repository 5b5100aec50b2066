/* The search: local search, kicked by small random changes.
 *
 * Kicks are small double bridges (Martin, Otto and Felten 1991); one that ends a little worse is kept by an
 * acceptance threshold that falls to nothing (Dueck and Scheuer 1990). Work is counted in kicks, not seconds,
 * so that the same job gives the same tour anywhere.
 */
#ifndef SEARCH_H
#define SEARCH_H

#include "moves.h"

static int *rank_first, *rank_last, ranks; /* places of each rank, which never change; from rank -1 on */
static int span;                           /* longest block that a kick moves, in points */
static double total, lowest;               /* cost of the tour, and of the best so far, less that of the first */
static int *kept;                          /* the best tour so far */
static wide state;

static int first_of(int rank) { return rank_first[rank + 1]; }
static int last_of(int rank) { return rank_last[rank + 1]; }

/* ------------------------------------------------------------ where ranks meet */
/* The best reversal that begins at one of places i..j and ends at j, or begins at i: its other end, or 0. */
static int best_at_border(int i, int j, int at_end, double *most) {
  int where = 0;
  *most = 0;
  for (int p = i; p <= j; p++) {
    int low = at_end ? p : i, high = at_end ? j : p;
    int l = tour[low - 1], r = tour[high < n ? high + 1 : 1];
    if (high - low >= longest || mate[l] == tour[low] || mate[r] == tour[high]) continue;
    double gain = distance(l, tour[low]) + distance(tour[high], r) - distance(l, tour[high]) - distance(tour[low], r);
    if (gain > *most) *most = gain, where = p;
  }
  return where;
}

/* Lists of near points end where ranks meet: try every reversal that begins or ends there. */
static double improve_borders(void) {
  double sum = 0;
  for (int i = 2, j; i <= n; i = j + 1) {
    j = last_of(rank_of[tour[i]]);
    for (int at_end = 0; at_end <= 1; at_end++) {
      double most;
      int where = best_at_border(i, j, at_end, &most);
      if (where == 0) continue;
      int low = at_end ? where : i, high = at_end ? j : where, mark = logged;
      int l = tour[low - 1], r = tour[high < n ? high + 1 : 1], u = tour[low], v = tour[high];
      added = 0;
      reverse(low, high);
      double won = settle_for(most, mark);
      if (won <= 0) continue;
      push_4(l, r, u, v);
      sum += won + settle();
    }
  }
  return sum;
}

/* ------------------------------------------------------------ kicks */
/* 1 to k (Park and Miller 1988). */
static int random_to(int k) {
  state = state * 16807 % 2147483647;
  return (int)whole((double)state / 2147483647 * k) + 1;
}

/* The first place from p on behind which an edge may be taken out. */
static int clear(int p) { return p < n && mate[tour[p]] == tour[p + 1] ? p + 1 : p; }

#define NO_KICK INFINITE

/* Turn a short block, or swap two neighbouring ones. Returns what it costs. */
static double bridge(void) {
  int p = clear(random_to(n - 1));
  if (p >= n) return NO_KICK;
  int stop = last_of(rank_of[tour[p + 1]]);
  int q = clear(p + random_to(at_most(stop - p, span)));
  int a = tour[p], b = tour[p + 1], c = tour[q], d = tour[q < n ? q + 1 : 1];
  added = 0;
  if (q >= stop || random_to(8) == 1) {
    if (q > stop) return NO_KICK;
    reverse(p + 1, q);
    push_4(a, b, c, d);
    return distance(a, c) + distance(b, d) - distance(a, b) - distance(c, d) + added;
  }
  int r = clear(q + random_to(at_most(stop - q, span)));
  int e = tour[r], f = tour[r < n ? r + 1 : 1];
  swap_blocks(p + 1, q, r, 0, 0);
  push_6(a, b, c, d, e, f);
  return distance(a, d) + distance(e, b) + distance(c, f) - distance(a, b) - distance(c, d) - distance(e, f) + added;
}

/* Let a line change places with all that comes before or behind it in its rank: lists of near points end where
 * ranks meet, so this is how another line gets to the border. */
static double move_to_border(void) {
  int low = random_to(n - 1) + 1;
  if (mate[tour[low]] == tour[low - 1]) low--;
  int high = clear(low), rank = rank_of[tour[low]], turned = random_to(2) == 1;
  int i = first_of(rank), j = low - 1, k = high;
  if (random_to(2) == 1) i = low, j = high, k = last_of(rank);
  if (j < i || k <= j) return NO_KICK;
  int l = tour[i - 1], a = tour[i], b = tour[j], c = tour[j + 1], d = tour[k], r = tour[k < n ? k + 1 : 1];
  double cost = -distance(l, a) - distance(b, c) - distance(d, r);
  added = 0;
  swap_blocks(i, j, k, turned && i == low, turned && i != low);
  push_6(l, a, b, c, d, r);
  int m = i + k - j - 1;
  return cost + distance(l, tour[i]) + distance(tour[m], tour[m + 1]) + distance(tour[k], r) + added;
}

/* Turn a line whose cost hangs on its direction, or a short block that begins with it. */
static double turn_costly(void) {
  int u = costly[random_to(costly_count) - 1];
  int i = at_most(pos[first_end[u]], pos[second_end[u]]), j = at_least(pos[first_end[u]], pos[second_end[u]]);
  if (random_to(2) == 1) j = clear(j + random_to(span));
  if (j > n || rank_of[tour[i]] != rank_of[tour[j]]) return NO_KICK;
  int l = tour[i - 1], r = tour[j < n ? j + 1 : 1], b = tour[i], c = tour[j];
  added = 0;
  reverse(i, j);
  push_4(l, r, b, c);
  return distance(l, c) + distance(b, r) - distance(l, b) - distance(c, r) + added;
}

/* ------------------------------------------------------------ the search */
static void keep(void) {
  if (total >= lowest) return;
  lowest = total;
  for (int p = 1; p <= n; p++) kept[p] = tour[p];
}

static double kick_once(int kick) {
  if (costly_count > 0 && kick % 3 == 0) return turn_costly();
  if (ranks > 2 && kick % 8 == 1 && n < 1000) return move_to_border();
  return bridge();
}

static double mean_step(void) {
  double sum = 0;
  for (int p = 1; p < n; p++)
    if (mate[tour[p]] != tour[p + 1]) sum += distance(tour[p], tour[p + 1]);
  return sum / n;
}

#endif
