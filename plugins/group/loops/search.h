/* What the files of the compiled search share: the problem, layouts, the plan. Each is named as the one that tells the
 * same in Python (packer, plan, squeeze, settle, build, anneal); engine.c stands between them and Python.
 */
#ifndef SEARCH_H
#define SEARCH_H

#include "chance.h"
#include "kernel.h"
#include <setjmp.h>

/* Prints laid on a sheet, or known not to have been (`found` is 0); one block of memory. */
typedef struct Packing {
    struct Packing *next; /* of all there are */
    uint64_t hash;        /* of the key */
    num room;
    double spare;
    Room *places, *free;
    int *key, *laid;     /* prints in ascending order; and as they were laid */
    int *kind, *copies;  /* each print once, and how often it is there */
    int count, kinds, frees, found, kept;
} Packing;

typedef struct {
    int order;
    Rules rules;
} Try;

/* What `n` sheets of one layout cost. */
typedef struct {
    num *from, *price;
    num set_up, minimum, flatness;
    int steps;
} Table;

/* A roll: pieces of it are sheets of so many steps, each with prices of its own, which are reckoned when asked for. */
typedef struct {
    Table by_length; /* from this length, price of a step */
    Table *pieces;   /* by the number of steps; of no price: not reckoned yet */
    num step, most;  /* 0: no roll */
    num ends;        /* what a piece is longer than its prints reach */
} Roll;

/* A sheet size with its packer and its prices; of a roll, its longest piece. */
typedef struct {
    Table table;
    Roll roll;
    Room whole;
    Ways *ways;
    num *areas, *sides;
    double *weights;
    char *usable; /* by print */
    int *ranks[KINDS];
    Try *tries;
    Packing **memory;
    num least, room;
    size_t size, known;
    num held; /* prints of the packings that are known */
    int medium, tried, few_tries;
} Stock;

typedef struct {
    num number, quantity, cost;
    Packing *packing;
    int stock, steps; /* a piece of a roll has steps */
} Run;

typedef struct {
    num number;
    Run before, after; /* no packing: none */
} Change;

typedef struct {
    num *at;
    int count, size;
} Numbers;

/* A print that a new layout may hold, and how often. */
typedef struct {
    double appeal;
    num copies;
    int index;
} Wish;

/* Runs in the order in which they were put, and the sums over them. */
typedef struct {
    Run *runs;
    Change *changes;
    num *cover;
    int *medium; /* -1: none */
    char *lacking;
    Numbers *holders; /* ascending */
    int *runs_of_medium;
    num total, gathered, next;
    int count, size, changed, changes_size, lacks;
} Plan;

typedef struct {
    num *need, *extra, *least_extra, *order_charge, *rest;
    int *company, *missing; /* `missing` are the prints with some rest */
    double *worth, *scores;
    char *choosy;
    Stock *stocks;
    Packing *packings;
    Run *best;
    int *draft, *queue[KINDS], *filled;
    num *wanted;
    Wish *wishes;
    Room *places, *spots;
    Numbers some, more; /* for work: what is called may use `some`, and `more` only where it says so */
    Rooms rooms, left, spare;
    Plan plan;
    uint64_t chance;
    num memory; /* how many prints of packings are remembered of a stock */
    num best_cost;
    int prints, media, count, carving, missings, shut;
    int most; /* layouts; -1: any number */
    int draft_size, wanted_size, scores_size, bests, bests_size;
    num loose; /* prints of packings that no memory holds, if no run does either */
    int busy; /* in use, or left in the middle of a change for want of memory */
    jmp_buf out_of_memory;
} Search;

#ifdef __GNUC__
#pragma GCC visibility push(hidden)
#endif

/* numbers.c */
void *resized(Search *s, void *old, size_t bytes);
void add_number(Search *s, Numbers *numbers, num number);
void drop_number(Numbers *numbers, num number);

/* packer.c */
Packing *new_packing(Search *s, const int *laid, int count, const Room *places, const Rooms *rooms, num room,
                     double spare, int found);
void room_for(Search *s, int prints);
void forget(Search *s, Stock *stock);
void sweep(Search *s);
Packing *pack(Search *s, Stock *stock, const int *laid, int count);
Packing *extend(Search *s, Stock *stock, Packing *packing, int index);
Packing *nothing_laid(Search *s, const Stock *stock);
Packing *fill(Search *s, Stock *stock, const num *wanted, int count);
int draft_without(Search *s, const Packing *packing, int index);
Packing *lay_once(Search *s, Stock *stock, const num *wanted, int count);
num used_height(const Stock *stock, const Packing *packing);
int same_key(const Packing *a, const Packing *b);

/* plan.c */
num ceil_part(num a, num b);
num best_buy(const Table *table, num needed, num *cost);
const Table *table_of(Search *s, const Run *run);
Run run_of(Search *s, int stock, Packing *packing, num needed);
Run *run_at(Plan *plan, num number);
void add_run(Search *s, Run run);
void put_run(Search *s, num number, const Run *run);
void take_back(Search *s);
void clear_plan(Search *s);
void list_missing(Search *s);
num cost_of(const Search *s);
double value_of(const Search *s);
void take_numbers(Search *s, Numbers *numbers);

/* squeeze.c */
void squeeze(Search *s, double chance, num fixed);
void evict(Search *s, num fixed);

/* settle.c */
void settle(Search *s);

/* build.c */
void complete(Search *s);
int shift(Search *s, num fixed);

/* anneal.c */
void keep_best(Search *s);
int anneal(Search *s, num bound, PyObject *stop, num *done, double begin, double end, double warm);

#ifdef __GNUC__
#pragma GCC visibility pop
#endif

/* A whole number from 0 to one less than `count`. */
static inline num
below(Search *s, num count)
{
    return (num)(next_random(&s->chance) * (double)count);
}

/* Brings so many of the numbers, drawn at random, to the front. */
static inline void
sample(Search *s, num *at, int size, int count)
{
    for (int k = 0; k < count; k++) {
        num other = k + below(s, size - k), drawn = at[other];
        at[other] = at[k];
        at[k] = drawn;
    }
}

#endif
