/* A short tour through lines, rank after rank, from home and back home: what Python calls.
 *
 * An instance does one job and is thrown away: allocate and fill columns, hand them over, call. Columns have
 * an entry 0 that is not used (core.h), but those of `solve_exactly` and `choose_entries`.
 */
#include "choose.h"
#include "exact.h"
#include "first.h"
#include "search.h"

static double acceptance;      /* how much worse than before a kick may end at first */
static int kicks, kicked, pause; /* in all, so far, and between two looks at the borders */

/* Hand over the points. Home is point 1, alone in its rank -1; other ranks count from 0 on without gaps. */
EXPORT(set_points)
void set_points(int count, double *x, double *y, int *ranks_of, int *mates, int near_count) {
  n = count, X = x, Y = y, rank_of = ranks_of, mate = mates, K = near_count;
  Points points = {n, X, Y, rank_of};
  near_points = near_lists(&points, mate, K);
}

/* Hand over costs of order and direction, by pairs of lines: see tour.h. */
EXPORT(set_pair_costs)
void set_pair_costs(int *line, int *first, int *second, int *from, int *other, double *ua, double *ub, double *va,
                    double *vb, int *lines, int count) {
  pairs_given = 1;
  line_of = line, first_end = first, second_end = second, pair_from = from, pair_other = other;
  u_ahead = ua, u_back = ub, v_ahead = va, v_back = vb, costly = lines, costly_count = count;
}

/* Hand over where closed lines may be entered. */
EXPORT(set_entry_points) void set_entry_points(int *from, double *x, double *y, int *at) {
  entry_from = from, entry_x = x, entry_y = y, entry_of = at;
}

static void find_ranks(void) {
  int most = 0;
  for (int i = 1; i <= n; i++) most = at_least(most, rank_of[i]);
  rank_first = take_ints((wide)most + 3), rank_last = take_ints((wide)most + 3);
  for (int p = 1; p <= n; p++) {
    int r = rank_of[tour[p]] + 1;
    if (!rank_first[r]) rank_first[r] = p, ranks++;
    rank_last[r] = p;
  }
}

static void begin_search(void) {
  pos = take_ints((wide)n + 2), kept = take_ints((wide)n + 1);
  queue = take_ints((wide)n + 1), queued = take((wide)n + 1, 1);
  queue_head = 1, queue_tail = 0;
  for (int p = 1; p <= n; p++) pos[tour[p]] = p;
  reach = take_doubles(((wide)n + 1) * K);
  for (int q = K; q < (n + 1) * K; q++)
    if (near_points[q]) reach[q] = distance(q / K, near_points[q]);
  /* Weighing a long reversal would cost more than it can bring: the start has been searched without. */
  longest = pairs_given ? 200 : n;
  find_ranks();
  lowest = INFINITE;
}

/* Begin a search from a tour (0: from a greedy one), and make it locally the best. */
EXPORT(start) void start(int *from, int all_kicks, int seed, int block, double threshold) {
  Points points = {n, X, Y, rank_of};
  tour = from ? from : greedy_tour(&points, mate, K);
  state = (wide)seed % 2147483646 + 1, span = block;
  begin_search();
  keep();
  for (int p = 1; p <= n; p++) push(tour[p]);
  total -= settle();
  total -= improve_borders();
  keep();
  acceptance = mean_step() * threshold;
  kicks = n >= 4 ? all_kicks : 0;
  pause = at_most(kicks / 8 + 1, 2 * n);
}

/* Go on for some kicks. Returns how many are left. */
EXPORT(search_on) int search_on(int more) {
  for (; more > 0 && kicked < kicks; more--) {
    kicked++;
    logged = 0;
    double cost = kick_once(kicked);
    if (cost != NO_KICK) {
      cost -= settle();
      if (cost > acceptance * (1 - (double)kicked / kicks) * random_to(1000) / 1000) take_back(0);
      else total += cost;
    }
    if (kicked % pause == 0 || kicked == kicks) {
      total -= improve_borders();
      keep();
    }
  }
  return kicks - kicked;
}

/* The best tour so far, from entry 1 on. */
EXPORT(best_tour) int *best_tour(void) { return kept; }
