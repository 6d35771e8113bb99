/* A plan while it is being searched, and what its runs cost (plan.py, prices.py). */
#include "search.h"

#define TOO_MANY 1000000000000
#define GATHER (0.5 / 1000000)

num
ceil_part(num a, num b)
{
    return a > 0 ? (a + b - 1) / b : -(-a / b);
}

static num
price_of(const Table *table, num quantity)
{
    int k = table->steps - 1;
    while (k > 0 && table->from[k] > quantity)
        k--;
    return table->price[k];
}

/* How many to buy, and the cost, of the cheapest way to have so many; of equally cheap quantities the largest. */
num
best_buy(const Table *table, num needed, num *cost)
{
    num quantity = needed > table->minimum ? needed : table->minimum, least = quantity;
    *cost = quantity * price_of(table, quantity);
    for (int k = 0; k < table->steps; k++) {
        num step = table->from[k], whole = step * price_of(table, step);
        if (step > least && whole <= *cost) {
            quantity = step;
            *cost = whole;
        }
    }
    *cost += table->set_up;
    return quantity;
}

/* The prices of pieces of so many steps. */
static const Table *
piece_of(Search *s, Stock *stock, int steps)
{
    const Table *by_length = &stock->roll.by_length;
    Table *piece = &stock->roll.pieces[steps];
    if (piece->steps)
        return piece;
    num length = steps * stock->roll.step, lowest = INT64_MAX, one;
    piece->from = resized(s, piece->from, (size_t)by_length->steps * sizeof(num));
    piece->price = resized(s, piece->price, (size_t)by_length->steps * sizeof(num));
    int count = 0;
    for (int k = 0; k < by_length->steps; k++) {
        num from = ceil_part(by_length->from[k], length);
        from = from > 1 ? from : 1;
        count += !count || piece->from[count - 1] != from;
        piece->from[count - 1] = from;
        piece->price[count - 1] = by_length->price[k] * steps;
    }
    for (int k = 0; k < count; k++)
        lowest = piece->price[k] < lowest ? piece->price[k] : lowest;
    piece->steps = count;
    piece->set_up = by_length->set_up;
    piece->minimum = ceil_part(by_length->minimum, length);
    piece->minimum = piece->minimum > piece->from[0] ? piece->minimum : piece->from[0];
    best_buy(piece, 1, &one);
    num flatness = 200 * lowest / (one > 1 ? one : 1) - 100;
    piece->flatness = flatness > 0 ? flatness : 0;
    return piece;
}

const Table *
table_of(Search *s, const Run *run)
{
    Stock *stock = &s->stocks[run->stock];
    return run->steps ? piece_of(s, stock, run->steps) : &stock->table;
}

/* Pieces of so many steps, if those are cheaper. */
static void
try_steps(Search *s, Run *run, num steps, num needed)
{
    Run other = *run;
    other.steps = (int)steps;
    other.quantity = best_buy(table_of(s, &other), needed, &other.cost);
    if (!run->steps || other.cost < run->cost)
        *run = other;
}

/* So many sheets at least; from a roll, pieces of the cheapest length. */
Run
run_of(Search *s, int number, Packing *packing, num needed)
{
    const Stock *stock = &s->stocks[number];
    const Roll *roll = &stock->roll;
    Run run = {.packing = packing, .stock = number};
    if (!roll->step) {
        run.quantity = best_buy(&stock->table, needed, &run.cost);
        return run;
    }
    num least = ceil_part(used_height(stock, packing), roll->step), last = least;
    try_steps(s, &run, least, needed);
    /* The longest that reach a lower price come last: of equally cheap lengths the shortest is taken. */
    for (;;) {
        num next = roll->most + 1;
        for (int k = -1; k < roll->by_length.steps; k++) {
            num start = k < 0 ? roll->by_length.minimum : roll->by_length.from[k];
            num reached = ceil_part(start, needed * roll->step);
            if (reached > last && reached < next)
                next = reached;
        }
        if (next > roll->most)
            return run;
        try_steps(s, &run, next, needed);
        last = next;
    }
}

Run *
run_at(Plan *plan, num number)
{
    for (int k = plan->count - 1; k >= 0; k--)
        if (plan->runs[k].number == number)
            return &plan->runs[k];
    return NULL;
}

/* The numbers of all runs, in the order in which they were put. */
void
take_numbers(Search *s, Numbers *numbers)
{
    if (numbers->size < s->plan.count) {
        numbers->size = 2 * s->plan.count;
        numbers->at = resized(s, numbers->at, (size_t)numbers->size * sizeof(num));
    }
    numbers->count = s->plan.count;
    for (int k = 0; k < s->plan.count; k++)
        numbers->at[k] = s->plan.runs[k].number;
}

static void
count_in(Search *s, const Run *run, int sign)
{
    Plan *plan = &s->plan;
    const Stock *stock = &s->stocks[run->stock];
    const Packing *packing = run->packing;
    int medium = stock->medium;
    num flatness = table_of(s, run)->flatness;
    plan->total += sign * run->cost;
    if (flatness) {
        num full = 100 - 100 * packing->room / stock->room;
        plan->gathered += sign * run->cost * flatness * full * full;
    }
    if (plan->runs_of_medium[medium] == (sign > 0 ? 0 : 1))
        plan->total += sign * s->order_charge[medium];
    plan->runs_of_medium[medium] += sign;
    for (int k = 0; k < packing->kinds; k++) {
        int i = packing->kind[k], first;
        plan->cover[i] += packing->copies[k] * sign * run->quantity;
        int lacks = plan->cover[i] < s->need[i];
        plan->lacks += lacks - plan->lacking[i];
        plan->lacking[i] = (char)lacks;
        if (sign > 0) {
            add_number(s, &plan->holders[i], run->number);
            first = plan->holders[i].count == 1;
        }
        else {
            drop_number(&plan->holders[i], run->number);
            first = !plan->holders[i].count;
        }
        if (first) {
            plan->total += sign * s->extra[i * s->media + medium];
            plan->medium[i] = sign > 0 ? medium : -1;
        }
    }
}

/* Puts a run, or nothing, in the place of the run of this number, and returns that. */
static Run
set_run(Search *s, num number, const Run *run)
{
    Plan *plan = &s->plan;
    Run before = {0}, after = {0};
    Run *old = run_at(plan, number);
    if (run && run->packing) {
        after = *run;
        after.number = number;
    }
    if (old) {
        before = *old;
        memmove(old, old + 1, (size_t)(plan->runs + --plan->count - old) * sizeof(Run));
        count_in(s, &before, -1);
    }
    if (after.packing) {
        if (plan->count == plan->size) {
            plan->size = 2 * plan->size + 16;
            plan->runs = resized(s, plan->runs, (size_t)plan->size * sizeof(Run));
        }
        plan->runs[plan->count++] = after;
        count_in(s, &after, 1);
    }
    return before;
}

/* `run` may be one of the plan's own: it is copied first. */
void
put_run(Search *s, num number, const Run *run)
{
    Plan *plan = &s->plan;
    Change change = {.number = number};
    if (run) {
        change.after = *run;
        change.after.number = number;
    }
    change.before = set_run(s, number, &change.after);
    if (plan->changed == plan->changes_size) {
        plan->changes_size = 2 * plan->changes_size + 16;
        plan->changes = resized(s, plan->changes, (size_t)plan->changes_size * sizeof(Change));
    }
    plan->changes[plan->changed++] = change;
}

void
add_run(Search *s, Run run)
{
    put_run(s, s->plan.next++, &run);
}

void
take_back(Search *s)
{
    for (int k = s->plan.changed - 1; k >= 0; k--)
        set_run(s, s->plan.changes[k].number, &s->plan.changes[k].before);
    s->plan.changed = 0;
}

/* Takes all runs out. */
void
clear_plan(Search *s)
{
    Plan *plan = &s->plan;
    while (plan->count)
        set_run(s, plan->runs[plan->count - 1].number, NULL);
    plan->changed = 0;
    plan->next = 0;
}

/* Lists the prints of which there are not enough, and how many copies are missing (`rest`; of others 0). */
void
list_missing(Search *s)
{
    for (int k = 0; k < s->missings; k++)
        s->rest[s->missing[k]] = 0;
    s->missings = 0;
    for (int i = 0; i < s->prints && s->missings < s->plan.lacks; i++)
        if (s->plan.lacking[i]) {
            s->missing[s->missings++] = i;
            s->rest[i] = s->need[i] - s->plan.cover[i];
        }
}

/* What the plan costs; layouts beyond the most allowed are priced out of reach. */
num
cost_of(const Search *s)
{
    int beyond = s->most < 0 ? 0 : s->plan.count - s->most;
    return s->plan.total + (beyond > 0 ? TOO_MANY * beyond : 0);
}

double
value_of(const Search *s)
{
    return (double)cost_of(s) - GATHER * (double)s->plan.gathered;
}
