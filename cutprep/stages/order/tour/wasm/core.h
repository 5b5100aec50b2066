/* What all parts of the search share: memory, and the few functions of arithmetic.
 *
 * Everything is one translation unit (engine.c), so that it can be inlined. Points, lines and places in the
 * tour are numbered from 1; 0 means none, and entry 0 of a column is not used. Coordinates and costs are
 * whole numbers held in doubles, far below 2^53: sums are exact in any order, on every machine.
 */
#ifndef CORE_H
#define CORE_H

#define EXPORT(name) __attribute__((export_name(#name)))
#define PAGE 65536u

typedef unsigned long long wide;

extern unsigned char __heap_base;
static wide heap_top, heap_used; /* the first free byte; the first that never held anything */

/* Memory of `count` items of `size` bytes, all zero; it stays until `give_back`, or the instance ends. */
static void *take(wide count, wide size) {
  if (heap_top == 0) heap_top = ((wide)(unsigned long)&__heap_base + 15) & ~15ull;
  wide begin = heap_top, end = (begin + count * size + 15) & ~15ull;
  wide have = (wide)__builtin_wasm_memory_size(0) * PAGE;
  if (end > 0xffff0000ull) __builtin_trap();
  if (end > have) {
    wide more = end - have + have / 4; /* in large steps: each may move the memory */
    if (have + more > 0xffff0000ull) more = end - have;
    if (__builtin_wasm_memory_grow(0, (unsigned long)((more + PAGE - 1) / PAGE)) == (unsigned long)-1)
      __builtin_trap();
  }
  heap_top = end;
  if (begin < heap_used)
    __builtin_memset((void *)(unsigned long)begin, 0, (unsigned long)((end < heap_used ? end : heap_used) - begin));
  if (end > heap_used) heap_used = end;
  return (void *)(unsigned long)begin;
}

/* Give back all memory that was taken since `heap_top` stood at `mark`. */
static void give_back(wide mark) { heap_top = mark; }

EXPORT(allocate) void *allocate(unsigned bytes) { return take(bytes, 1); }

static int *take_ints(wide count) { return take(count, sizeof(int)); }
static double *take_doubles(wide count) { return take(count, sizeof(double)); }

static double least(double a, double b) { return a < b ? a : b; }
static int at_least(int a, int b) { return a > b ? a : b; }
static int at_most(int a, int b) { return a < b ? a : b; }
static double root(double a) { return __builtin_sqrt(a); }
static double whole(double a) { return __builtin_floor(a); }

#define INFINITE __builtin_inf()

#endif
