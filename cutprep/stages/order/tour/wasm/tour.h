/* The tour that is searched: reversals and taking them back, and whose edges changed.
 *
 * An open line is two points joined by an edge that is never taken out. Every move is made of reversals of
 * places i..j; a reversal is allowed when both ends have the same rank, and home stays at place 1.
 */
#ifndef TOUR_H
#define TOUR_H

#include "travel.h"

static int n;                    /* points */
static double *X, *Y;            /* by point */
static int *rank_of, *mate;      /* by point; mate is the other end of an open line, or 0 */
static int *tour, *pos;          /* points by place, and places by point */
static int K, *near_points;      /* K near points of each point a, from [a * K] on */
static double *reach;            /* how far they are */
static int longest;              /* reversal that is tried */

static double distance(int a, int b) { return travel(X[a] - X[b], Y[a] - Y[b]); }
static int after(int a) { return tour[pos[a] < n ? pos[a] + 1 : 1]; }
static int before(int a) { return tour[pos[a] > 1 ? pos[a] - 1 : n]; }

/* ------------------------------------------------------------ where closed lines are entered */
static int *entry_from, *entry_of; /* point a has the entry points entry_from[a] to entry_from[a + 1] - 1 */
static double *entry_x, *entry_y;  /* ... and is at entry_of[a] now */

static void put(int a, int entry) { X[a] = entry_x[entry], Y[a] = entry_y[entry], entry_of[a] = entry; }

/* ------------------------------------------------------------ costs of order and direction */
/* For line u and each other line v that its cost hangs on (pair_from[u] to pair_from[u + 1] - 1): what u
 * costs after v, forwards and backwards, and what v costs after u. */
static int *line_of;                     /* by point; 0 for home */
static int *first_end, *second_end;      /* by line */
static int *pair_from, *pair_other, pairs_given;
static double *u_ahead, *u_back, *v_ahead, *v_back;
static int *costly, costly_count;        /* lines that have such costs */

/* What the costs of one line change by when places i..j are reversed, other lines in them counted once. */
static double change_of_line(int u, int p, int i, int j) {
  int ahead = tour[p] == first_end[u];
  double more = 0;
  for (int e = pair_from[u]; e < pair_from[u + 1]; e++) {
    int v = pair_other[e], q = pos[first_end[v]];
    if (q < i) more += ahead ? u_back[e] - u_ahead[e] : u_ahead[e] - u_back[e];
    if (q < i || q > j || u > v) continue;
    int onward = q <= pos[second_end[v]];
    if (p < q) more += (ahead ? u_back[e] : u_ahead[e]) - (onward ? v_ahead[e] : v_back[e]);
    else more += (onward ? v_back[e] : v_ahead[e]) - (ahead ? u_ahead[e] : u_back[e]);
  }
  return more;
}

/* What reversing places i..j adds to the costs of order and direction. */
static double change_of_costs(int i, int j) {
  double more = 0;
  for (int p = i; p <= j; p++) {
    int a = tour[p], u = line_of[a];
    if (u > 0 && pair_from[u] < pair_from[u + 1] && (mate[a] == 0 || pos[mate[a]] > p))
      more += change_of_line(u, p, i, j);
  }
  return more;
}

/* ------------------------------------------------------------ reversals, and taking them back */
typedef struct {
  int i, j; /* a reversal, or minus the point that was moved and its entry point before */
} Step;

static Step *steps;
static int logged, room_for_steps;
static double added; /* costs of order and direction that the move adds */

static void note_step(int i, int j) {
  if (logged == room_for_steps) {
    Step *more = take(2ull * room_for_steps + 1024, sizeof(Step));
    for (int k = 0; k < logged; k++) more[k] = steps[k];
    steps = more, room_for_steps = 2 * room_for_steps + 1024;
  }
  steps[logged++] = (Step){i, j};
}

static void flip(int i, int j) {
  int *order = tour, *place = pos;
  for (; i < j; i++, j--) {
    int a = order[i], b = order[j];
    order[i] = b, order[j] = a;
    place[b] = i, place[a] = j;
  }
}

static void reverse(int i, int j) {
  if (pairs_given) added += change_of_costs(i, j);
  note_step(i, j);
  flip(i, j);
}

static void take_back(int mark) {
  while (logged > mark) {
    Step step = steps[--logged];
    if (step.i < 0) put(-step.i, step.j); else flip(step.i, step.j);
  }
}

/* Swap the neighbouring blocks i..j and j+1..k, turning each on demand. */
static void swap_blocks(int i, int j, int k, int turn_first, int turn_second) {
  reverse(i, k);
  int m = i + k - j - 1;
  if (!turn_second && m > i) reverse(i, m);
  if (!turn_first && k > m + 1) reverse(m + 1, k);
}

/* What a move of this gain in travel is worth with its other costs; it is taken back when nothing. */
static double settle_for(double gain, int mark) {
  double net = gain - added;
  if (net > 0) return net;
  take_back(mark);
  return 0;
}

/* ------------------------------------------------------------ points whose edges changed */
static int *queue, queue_head, queue_tail, waiting;
static char *queued;

static void push(int a) {
  if (queued[a]) return;
  queued[a] = 1;
  queue_tail = queue_tail < n ? queue_tail + 1 : 1;
  queue[queue_tail] = a;
  waiting++;
}

static int pop(void) {
  int a = queue[queue_head];
  queue_head = queue_head < n ? queue_head + 1 : 1;
  waiting--;
  queued[a] = 0;
  return a;
}

static void push_4(int a, int b, int c, int d) { push(a), push(b), push(c), push(d); }
static void push_6(int a, int b, int c, int d, int e, int f) { push_4(a, b, c, d), push(e), push(f); }

#endif
