/* Local search with 2-opt, 3-opt and Or-opt moves over lists of near points (Or 1976; Johnson and McGeoch
 * 1997, "The traveling salesman problem: a case study in local optimization"), woken by a queue of points
 * whose edges changed. */
#ifndef MOVES_H
#define MOVES_H

#include "tour.h"

#define BROAD 5 /* near points that are tried for the second edge of a 3-opt move */

typedef enum { ONWARD = 1, BACKWARD = 2 } Way;

static int next_to(int a, Way way) { return way == ONWARD ? after(a) : before(a); }
static Way other_way(Way way) { return way == ONWARD ? BACKWARD : ONWARD; }

/* The place behind which two neighbours in the tour part. */
static int parting(int a, int b) {
  int p = at_most(pos[a], pos[b]), q = at_least(pos[a], pos[b]);
  return q - p == 1 ? p : n;
}

/* Whether the tour may be turned between two partings, p before q. */
static int may_turn(int p, int q) { return q - p <= longest && rank_of[tour[p + 1]] == rank_of[tour[q]]; }

/* Turn it there; 0 when it may not be. */
static int turn_between(int p, int q) {
  int low = at_most(p, q), high = at_least(p, q);
  if (!may_turn(low, high)) return 0;
  reverse(low + 1, high);
  return 1;
}

/* A move in the making: the edge a-b is taken out and a-c put in, where b comes next to a on the `way` round.
 * Its gain so far counts only these two. */
typedef struct {
  Way way;
  int a, b, c;
  double gain;
} Move;

/* 3-opt: after a-b and c-d have given way to a-c and b-d, b-d gives way to an edge from d to e near it,
 * and e's neighbour f on the way there from d goes to b. a and b part behind i, c and d behind j. */
static double three_opt(const Move *move, int d, int i, int j, double gain) {
  int a = move->a, b = move->b, c = move->c, onward = i < j;
  int low = at_most(i, j), high = at_least(i, j);
  if (!may_turn(low, high)) return 0;
  for (int q = d * K; q < d * K + BROAD && near_points[q] != 0; q++) {
    int e = near_points[q];
    double left = gain - distance(d, e);
    if (left <= 0 && !entry_from) break;
    if (left <= 0 || e == b || e == c) continue;
    int p = pos[e], f = onward == (p > low && p <= high) ? after(e) : before(e);
    double net = left + distance(e, f) - distance(f, b);
    if (net <= 0 || mate[e] == f || f == d) continue;
    int mark = logged;
    added = 0;
    reverse(low + 1, high);
    if (!turn_between(parting(b, d), parting(e, f))) {
      take_back(mark);
      continue;
    }
    net = settle_for(net, mark);
    if (net > 0) {
      push_6(a, b, c, d, e, f);
      return net;
    }
  }
  return 0;
}

/* 2-opt: the edges a-b and c-d give way to a-c and b-d; 3-opt where that does not pay. */
static double two_opt(const Move *move) {
  int a = move->a, b = move->b, c = move->c, d = next_to(c, move->way);
  if (mate[c] == d || d == a) return 0;
  double gain = move->gain + distance(c, d), net = gain - distance(b, d);
  int i = parting(a, b), j = parting(c, d), mark = logged;
  if (net <= 0) return three_opt(move, d, i, j, gain);
  added = 0;
  net = turn_between(i, j) ? settle_for(net, mark) : 0;
  if (net > 0) push_4(a, b, c, d);
  return net;
}

/* Put the block between a and e (at places low..high) between c and d; 0 when it may not be. */
static int insert(int a, int e, int low, int high, int c, int d) {
  int gap = parting(c, d), turned = tour[low] != (tour[gap] == c ? a : e);
  if (gap - low > longest || high - gap > longest) return 0;
  if (gap > high) {
    if (rank_of[tour[low]] != rank_of[tour[gap]]) return 0;
    swap_blocks(low, high, gap, turned, 0);
  } else {
    if (rank_of[tour[gap + 1]] != rank_of[tour[high]]) return 0;
    swap_blocks(gap + 1, low - 1, high, 0, turned);
  }
  return 1;
}

/* Put a block of lines, from a to e, beside c, where `out` is gained by taking it out. */
static double insert_beside(const Move *move, int e, int outside, int low, int high, double out) {
  int a = move->a, b = move->b, c = move->c;
  for (Way side = ONWARD; side <= BACKWARD; side++) {
    int d = next_to(c, side);
    if (mate[c] == d || (pos[d] >= low && pos[d] <= high)) continue;
    double net = out + distance(c, d) - distance(e, d);
    int mark = logged;
    added = 0;
    if (net <= 0 || !insert(a, e, low, high, c, d)) continue;
    net = settle_for(net, mark);
    if (net > 0) {
      push_6(a, b, c, d, e, outside);
      return net;
    }
  }
  return 0;
}

/* Or-opt: one to three lines that begin with a and run away from b go beside c. */
static double or_opt(const Move *move) {
  int a = move->a, b = move->b, c = move->c, e = a;
  Way away = other_way(move->way);
  for (int lines = 1; lines <= 3; lines++) {
    if (e == 1) return 0;
    int outside = next_to(e, away);
    if (mate[e] == outside) e = outside, outside = next_to(e, away);
    if (e == 1 || e == b || outside == b) return 0;
    int low = at_most(pos[e], pos[a]), high = at_least(pos[e], pos[a]);
    if (high - low > 6 || (pos[c] >= low && pos[c] <= high)) return 0;
    double out = move->gain + distance(e, outside) - distance(b, outside);
    if (out > 0) {
      double won = insert_beside(move, e, outside, low, high, out);
      if (won > 0) return won;
    }
    e = outside;
  }
  return 0;
}

/* Move a closed line's point to the best of its entry points between its neighbours. */
static double shift_entry(int a) {
  int l = before(a), r = after(a), old = entry_of[a], best = old;
  double now = distance(l, a) + distance(a, r), lowest = now;
  for (int c = entry_from[a]; c < entry_from[a + 1]; c++) {
    double sum = travel(X[l] - entry_x[c], Y[l] - entry_y[c]);
    if (sum >= lowest) continue;
    sum += travel(entry_x[c] - X[r], entry_y[c] - Y[r]);
    if (sum < lowest) lowest = sum, best = c;
  }
  if (best == old) return 0;
  put(a, best);
  note_step(-a, old);
  push(a), push(l), push(r);
  return now - lowest;
}

/* Try to take out one of a's two edges. */
static double improve_edge(int a, Way way) {
  int b = next_to(a, way);
  if (mate[a] == b) return 0;
  double edge = distance(a, b);
  for (int q = a * K; q < (a + 1) * K && near_points[q] != 0; q++) {
    int c = near_points[q];
    Move move = {way, a, b, c, edge - (entry_from ? distance(a, c) : reach[q])};
    if (move.gain <= 0 && !entry_from) break;
    if (move.gain <= 0) continue;
    double won = two_opt(&move);
    if (won == 0) won = or_opt(&move);
    if (won > 0) return won;
  }
  return 0;
}

static double improve_point(int a) {
  double gain = 0;
  if (entry_from && entry_from[a] < entry_from[a + 1] - 1) gain = shift_entry(a);
  if (gain <= 0) gain = improve_edge(a, ONWARD);
  if (gain <= 0) gain = improve_edge(a, BACKWARD);
  return gain;
}

/* Improve until no point that waits has a better move. Returns what was gained. */
static double settle(void) {
  double total = 0;
  while (waiting > 0) {
    int a = pop();
    for (double gain = improve_point(a); gain > 0; gain = improve_point(a)) total += gain;
  }
  return total;
}

#endif
