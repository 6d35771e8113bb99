/* A good plan disturbed and completed again, and what is better kept (anneal.py). */
#include "search.h"
#include <math.h>

#define SMALL 0.6
#define NEAR 40
#define COLD 0.001
#define STALE 5000

static const int SIZES[] = {1, 1, 2, 2, 2, 3, 3, 4, 5, 6};

/* Buys so many sheets of a run in the place of what it has. */
static void
buy(Search *s, Run run, num needed)
{
    run.quantity = best_buy(table_of(s, &run), needed, &run.cost);
    put_run(s, run.number, &run);
}

static int
by_number(const void *one, const void *other)
{
    num a = *(const num *)one, b = *(const num *)other;
    return a < b ? -1 : a > b;
}

/* Buys fewer sheets of a run, or none; 0 where that changes nothing. */
static int
buy_fewer(Search *s, Run run)
{
    const Table *table = table_of(s, &run);
    const Packing *packing = run.packing;
    Numbers *some = &s->some;
    int size = packing->kinds + table->steps, lower = 0;
    if (some->size < size) {
        some->at = resized(s, some->at, (size_t)size * sizeof(num));
        some->size = size;
    }
    num *beside = some->at + table->steps;
    for (int k = 0; k < packing->kinds; k++) {
        int i = packing->kind[k];
        num count = packing->copies[k];
        beside[k] = ceil_part(s->need[i] - s->plan.cover[i] + count * run.quantity, count);
    }
    qsort(beside, (size_t)packing->kinds, sizeof(num), by_number);
    memcpy(some->at, table->from, (size_t)table->steps * sizeof(num));
    num top = some->at[size - 1];
    for (int k = 0; k < size; k++)
        if (some->at[k] > 0 && some->at[k] < top)
            some->at[lower++] = some->at[k];
    if (!lower) {
        put_run(s, run.number, NULL);
        return 1;
    }
    num cost, needed = some->at[below(s, lower)];
    if (best_buy(table, needed, &cost) >= run.quantity)
        return 0;
    buy(s, run, needed);
    return 1;
}

/* Makes a print short: by a copy taken off a layout, or by buying fewer sheets. Returns the run's number, or -1. */
static num
disturb(Search *s)
{
    Run run = s->plan.runs[below(s, s->plan.count)];
    if (next_random(&s->chance) < 0.5)
        return buy_fewer(s, run) ? run.number : -1;
    const Packing *old = run.packing;
    int i = old->kind[below(s, old->kinds)];
    if (old->count == 1) {
        put_run(s, run.number, NULL);
        return run.number;
    }
    int count = draft_without(s, old, i);
    Packing *packing = pack(s, &s->stocks[run.stock], s->draft, count);
    if (!packing)
        return -1;
    Run fewer = run_of(s, run.stock, packing, run.quantity);
    put_run(s, run.number, &fewer);
    return run.number;
}

/* Buys fewer sheets of one run, down to a price step; 0 where there is none. */
static int
lower(Search *s, Run run)
{
    const Table *table = table_of(s, &run);
    Numbers *some = &s->more;
    int count = 0;
    if (some->size < table->steps + 1) {
        some->size = table->steps + 1;
        some->at = resized(s, some->at, (size_t)some->size * sizeof(num));
    }
    for (int k = -1; k < table->steps; k++) {
        num step = k < 0 ? 1 : table->from[k];
        if (step < run.quantity)
            some->at[count++] = step;
    }
    if (count)
        buy(s, run, some->at[below(s, count)]);
    return count > 0;
}

static int
holds(const Packing *packing, int i)
{
    int low = 0, high = packing->kinds;
    while (low < high) {
        int middle = (low + high) / 2;
        if (packing->kind[middle] < i)
            low = middle + 1;
        else
            high = middle;
    }
    return low < packing->kinds && packing->kind[low] == i;
}

/* Takes out those of the numbers (not `more`), and of the runs with the same prints, that are most alike. */
static void
take_out_near(Search *s, const Run *centre, const Numbers *numbers, int wanted)
{
    Numbers *near = &s->more;
    const Packing *middle = centre->packing;
    near->count = 0;
    for (int k = 0; k < numbers->count; k++)
        add_number(s, near, numbers->at[k]);
    for (int k = 0; k < middle->kinds; k++) {
        const Numbers *holders = &s->plan.holders[middle->kind[k]];
        for (int n = 0; n < holders->count; n++)
            add_number(s, near, holders->at[n]);
    }
    if (s->scores_size < near->count) {
        s->scores_size = 2 * near->count;
        s->scores = resized(s, s->scores, (size_t)s->scores_size * sizeof(double));
    }
    for (int k = 0; k < near->count; k++) {
        const Run *run = run_at(&s->plan, near->at[k]);
        int shared = 0;
        for (int n = 0; n < run->packing->kinds; n++)
            shared += holds(middle, run->packing->kind[n]);
        num apart = run->quantity - centre->quantity;
        s->scores[k] = shared - (double)(apart < 0 ? -apart : apart) / (double)(run->quantity + centre->quantity) +
                       2 * next_random(&s->chance);
    }
    for (int taken = 0; taken < wanted; taken++) {
        int best = -1;
        for (int k = 0; k < near->count; k++)
            if (near->at[k] >= 0 && (best < 0 || s->scores[k] > s->scores[best]))
                best = k;
        put_run(s, near->at[best], NULL);
        near->at[best] = -1;
    }
}

/* Takes out one to six runs: any, or those that share prints with one of them; or lowers one quantity. */
static void
ruin(Search *s)
{
    Numbers *numbers = &s->some;
    double kind = next_random(&s->chance);
    Run centre = s->plan.runs[below(s, s->plan.count)];
    if (kind < 0.15 && lower(s, centre))
        return;
    take_numbers(s, numbers);
    int wanted = SIZES[below(s, 10)];
    if (wanted > numbers->count)
        wanted = numbers->count;
    if (numbers->count > NEAR) {
        sample(s, numbers->at, numbers->count, NEAR);
        numbers->count = NEAR;
    }
    if (kind < 0.6) {
        take_out_near(s, &centre, numbers, wanted);
        return;
    }
    sample(s, numbers->at, numbers->count, wanted);
    for (int k = 0; k < wanted; k++)
        put_run(s, numbers->at[k], NULL);
}

void
keep_best(Search *s)
{
    const Plan *plan = &s->plan;
    if (s->bests_size < plan->count) {
        s->bests_size = 2 * plan->count;
        s->best = resized(s, s->best, (size_t)s->bests_size * sizeof(Run));
    }
    memcpy(s->best, plan->runs, (size_t)plan->count * sizeof(Run));
    s->bests = plan->count;
    s->best_cost = cost_of(s);
}

static void
go_back_to_best(Search *s)
{
    clear_plan(s);
    for (int k = 0; k < s->bests; k++)
        add_run(s, s->best[k]);
}

/* What share of the time is over; less than 0 with an error set where the rule fails. */
static double
asked(PyObject *stop, num done, num cost)
{
    PyObject *answer = PyObject_CallFunction(stop, "LL", (long long)done, (long long)cost);
    double share = answer ? PyFloat_AsDouble(answer) : -1;
    Py_XDECREF(answer);
    return share;
}

/* Leaves the best plan found from the present one on as `best`; 0 with an error set where the rule fails. */
int
anneal(Search *s, num bound, PyObject *stop, num *done, double begin, double end, double warm)
{
    num last = *done;
    keep_best(s);
    double current = value_of(s);
    while (s->best_cost > bound) {
        double share = asked(stop, *done, s->best_cost);
        if (PyErr_Occurred())
            return 0;
        if (!(share < end))
            break;
        ++*done;
        s->plan.changed = 0;
        if (s->loose >= s->memory)
            sweep(s);
        int whole = 1;
        if (next_random(&s->chance) < SMALL) {
            num changed = disturb(s);
            whole = changed >= 0 && shift(s, changed);
        }
        else {
            ruin(s);
            s->shut = s->media < 2 || next_random(&s->chance) < 0.5 ? -1 : (int)below(s, s->media);
            complete(s);
        }
        double value = value_of(s), cooling = pow(COLD / warm, (share - begin) / (end - begin));
        double warmth = warm * cooling * (double)s->best_cost / s->bests;
        if (whole && cost_of(s) < s->best_cost) {
            keep_best(s);
            last = *done;
        }
        if (whole && value <= current - warmth * log(1 - next_random(&s->chance)))
            current = value;
        else
            take_back(s);
        if (*done - last > STALE) {
            go_back_to_best(s);
            last = *done;
            current = value_of(s);
        }
    }
    return 1;
}
