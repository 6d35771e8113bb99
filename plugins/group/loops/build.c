/* A plan completed: quantities raised, and new layouts designed until nothing is short (build.py, wishes.py, piece.py). */
#include "search.h"

#define DRAWN 12
#define CROWD 40
#define RAISES 3
#define MOST_WISHES (INT32_MAX / 16)

/* One way to go on: a run under its number (-1: a new one), and what it brings for its cost. */
typedef struct {
    double score;
    Run run;
    int found;
} Step;

/* What so many sheets with these prints are worth: surplus copies count for nothing. */
static double
worth_of(const Search *s, const Packing *packing, num quantity)
{
    double worth = 0.0;
    for (int k = 0; k < packing->kinds; k++) {
        int i = packing->kind[k];
        num copies = packing->copies[k] * quantity, missing = s->rest[i];
        if (missing)
            worth += s->worth[i] * (double)(copies < missing ? copies : missing);
    }
    return worth;
}

static double
score_of(const Search *s, const Packing *packing, num quantity, num cost)
{
    return worth_of(s, packing, quantity) / (cost > 0 ? (double)cost : 0.01);
}

/* The prints that are short, at most so many of them, drawn at random. */
static void
take_some(Search *s, Numbers *some)
{
    some->count = 0;
    for (int k = 0; k < s->missings; k++)
        add_number(s, some, s->missing[k]);
    if (some->count > CROWD) {
        sample(s, some->at, some->count, CROWD);
        some->count = CROWD;
    }
}

/* The best way to buy more of what is there already. */
static Step
best_raise(Search *s, num fixed)
{
    Step best = {0};
    Plan *plan = &s->plan;
    take_some(s, &s->some);
    for (int k = 0; k < s->some.count; k++) {
        int i = (int)s->some.at[k];
        const Numbers *holders = &plan->holders[i];
        for (int n = 0; n < holders->count; n++) {
            if (holders->at[n] == fixed)
                continue;
            Run run = *run_at(plan, holders->at[n]);
            num count = 0, cost;
            for (int m = 0; !count; m++)
                if (run.packing->kind[m] == i)
                    count = run.packing->copies[m];
            num quantity =
                best_buy(table_of(s, &run), run.quantity + ceil_part(s->rest[i], count), &cost);
            double score = score_of(s, run.packing, quantity - run.quantity, cost - run.cost);
            score *= 0.8 + 0.4 * next_random(&s->chance);
            if (!best.found || score > best.score) {
                run.quantity = quantity;
                run.cost = cost;
                best = (Step){score, run, 1};
            }
        }
    }
    return best;
}

static int
allowed(const Search *s, int i, int medium)
{
    if (s->plan.medium[i] >= 0)
        return s->plan.medium[i] == medium;
    return medium != s->shut || !s->choosy[i];
}

/* A print to design a layout around: those with much still to do come first. */
static int
pick_seed(Search *s)
{
    int best = -1;
    double most = 0;
    for (int k = 0; k < 3; k++) {
        int i = s->missing[below(s, s->missings)];
        double load = s->worth[i] * (double)s->rest[i];
        if (best < 0 || load > most || (load == most && i > best)) {
            best = i;
            most = load;
        }
    }
    return best;
}

static int
less_appealing(const void *one, const void *other)
{
    const Wish *a = one, *b = other;
    if (a->appeal != b->appeal)
        return a->appeal < b->appeal ? 1 : -1;
    return a->index < b->index ? 1 : a->index > b->index ? -1 : 0;
}

static int
add_wish(Search *s, int index, num copies, int listed)
{
    if (copies > MOST_WISHES - listed)
        longjmp(s->out_of_memory, 1);
    if (listed + copies > s->wanted_size) {
        s->wanted_size = 2 * (listed + (int)copies);
        s->wanted = resized(s, s->wanted, (size_t)s->wanted_size * sizeof(num));
    }
    for (num k = 0; k < copies; k++)
        s->wanted[listed++] = index;
    return listed;
}

/* Lists the seed, then others of the crowd in random order, the most appealing first; returns how many. */
static int
list_wishes(Search *s, const Stock *stock, int seed, const Numbers *crowd, num quantity, int by_size, double noise)
{
    Wish *wishes = s->wishes, own = {0};
    int count = 0;
    for (int k = -1; k < crowd->count; k++) {
        int i = k < 0 ? seed : (int)crowd->at[k];
        if (k >= 0 && i == seed)
            continue;
        num rest = s->rest[i], area = stock->areas[i], full = rest / quantity, part = rest % quantity;
        Wish wish = {0, full + (part > 0) < stock->room / area ? full + (part > 0) : stock->room / area, i};
        if (k < 0) {
            own = wish;
            continue;
        }
        wish.appeal = s->worth[i] * (1 + noise * next_random(&s->chance));
        if (!by_size)
            wish.appeal /= (double)area;
        if (part && full < 4)
            wish.appeal *= (double)rest / (double)(quantity * (full + 1));
        wishes[count++] = wish;
    }
    qsort(wishes, (size_t)count, sizeof(Wish), less_appealing);
    int listed = add_wish(s, seed, own.copies, 0);
    for (int k = 0; k < count; k++)
        listed = add_wish(s, wishes[k].index, wishes[k].copies, listed);
    return listed;
}

/* A piece of a roll with the seed and as many of the crowd as a piece of a length picked at random holds (piece.py). */
static Packing *
draw_piece(Search *s, Stock *stock, int seed, Numbers *crowd, num guess)
{
    sample(s, crowd->at, crowd->count, crowd->count);
    num area = 0;
    for (int k = 0; k < crowd->count; k++)
        area += s->rest[crowd->at[k]] * stock->areas[crowd->at[k]];
    num fewest = 1 + (num)((double)area / (double)stock->room * (1.0 + 0.3 * next_random(&s->chance)));
    num any = 1 + below(s, s->rest[seed]), pieces[] = {1, 1, fewest, fewest, guess, any}, count = pieces[below(s, 6)];
    num spares[] = {0, 0, count / 2, count - 1}, spare = spares[below(s, 4)];
    double parts[] = {1.0, 1.0, next_random(&s->chance)};
    num room = (num)((double)stock->room * parts[below(s, 3)]) - stock->areas[seed];
    int listed = add_wish(s, seed, 1, 0);
    for (int k = -1; k < crowd->count; k++) {
        int i = k < 0 ? seed : (int)crowd->at[k];
        if (k >= 0 && i == seed)
            continue;
        num copies = (s->rest[i] + spare) / count - (i == seed), most = room > 0 ? room / stock->areas[i] : 0;
        copies = copies < most ? copies : most;
        if (copies > 0) {
            listed = add_wish(s, i, copies, listed);
            room -= copies * stock->areas[i];
        }
    }
    for (;;) {
        Packing *packing = lay_once(s, stock, s->wanted, listed);
        if (packing)
            return packing;
        int fewer = (listed - 1) * 9 / 10;
        sample(s, s->wanted + 1, listed - 1, fewer);
        listed = 1 + fewer;
    }
}

/* One layout designed at random around one print. */
static Packing *
draw(Search *s, int seed, int *chosen)
{
    static const int parts[] = {1, 1, 1, 2, 2, 3, 4, 6};
    static const double noises[] = {0.1, 0.4, 1.0};
    Numbers *some = &s->some;
    some->count = 0;
    for (int shut = 0; shut < 2 && !some->count; shut++)
        for (int k = 0; k < s->count; k++)
            if (s->stocks[k].usable[seed] && (shut || allowed(s, seed, s->stocks[k].medium)))
                add_number(s, some, k);
    *chosen = (int)some->at[below(s, some->count)];
    Stock *stock = &s->stocks[*chosen];
    some->count = 0;
    for (int k = 0; k < s->missings; k++) {
        int i = s->missing[k];
        if (s->company[i] == s->company[seed] && stock->usable[i] && allowed(s, i, stock->medium))
            add_number(s, some, i);
    }
    if (some->count > CROWD && !stock->roll.step) {
        sample(s, some->at, some->count, CROWD);
        some->count = CROWD;
    }
    num cost, quantity = best_buy(&stock->table, ceil_part(s->rest[seed], parts[below(s, 8)]), &cost);
    if (stock->roll.step)
        return draw_piece(s, stock, seed, some, quantity);
    int by_size = next_random(&s->chance) < 0.6;
    double noise = noises[below(s, 3)];
    int count = list_wishes(s, stock, seed, some, quantity, by_size, noise);
    return fill(s, stock, s->wanted, count);
}

static void
better_at(Search *s, const Run *run, num needed, num extra, Step *best)
{
    num cost, quantity = best_buy(table_of(s, run), needed, &cost);
    double score = score_of(s, run->packing, quantity, cost + extra);
    if (!best->found || score > best->score) {
        *best = (Step){score, *run, 1};
        best->run.quantity = quantity;
        best->run.cost = cost;
    }
}

/* The run of this packing at the quantity that brings most for its cost, if that is better. */
static void
better(Search *s, int chosen, Packing *packing, Step *best)
{
    const Stock *stock = &s->stocks[chosen];
    int medium = stock->medium;
    Run run = run_of(s, chosen, packing, 1);
    const Table *table = table_of(s, &run);
    run.number = -1;
    num extra = s->plan.runs_of_medium[medium] ? 0 : s->order_charge[medium], most = 0;
    for (int k = 0; k < packing->kinds; k++) {
        int i = packing->kind[k];
        num wanted = ceil_part(s->rest[i], packing->copies[k]);
        if (wanted > most)
            most = wanted;
        if (s->plan.medium[i] < 0)
            extra += s->extra[i * s->media + medium] - s->least_extra[i];
    }
    for (int k = 0; k < packing->kinds; k++)
        better_at(s, &run, ceil_part(s->rest[packing->kind[k]], packing->copies[k]), extra, best);
    for (int k = 0; k < table->steps; k++)
        if (table->from[k] < most)
            better_at(s, &run, table->from[k], extra, best);
    if (stock->roll.step && best->run.packing == packing) {
        best->run = run_of(s, chosen, packing, best->run.quantity);
        best->run.number = -1;
    }
}

static void
best_layout(Search *s, Step *best)
{
    struct {
        int stock;
        const Packing *packing;
    } seen[DRAWN];
    int count = 0, drawn = 2 + 2 * s->missings < DRAWN ? 2 + 2 * s->missings : DRAWN;
    for (int k = 0; k < drawn; k++) {
        int stock, known = 0, seed = pick_seed(s);
        Packing *packing = draw(s, seed, &stock);
        for (int n = 0; n < count && !known; n++)
            known = seen[n].stock == stock && same_key(seen[n].packing, packing);
        if (known)
            continue;
        seen[count].stock = stock;
        seen[count++].packing = packing;
        better(s, stock, packing, best);
    }
}

/* One copy of as many of the prints as fit, the largest first, then copies of whichever needs most sheets: of all these
 * layouts the one that is cheapest for what is missing.
 */
static Run
even_run(Search *s, int number, Numbers *prints)
{
    Stock *stock = &s->stocks[number];
    Packing *packing = nothing_laid(s, stock), *more;
    for (int k = 0; k < prints->count; k++) {
        int largest = k;
        for (int n = k + 1; n < prints->count; n++) {
            num area = stock->areas[prints->at[n]], most = stock->areas[prints->at[largest]];
            if (area > most || (area == most && prints->at[n] < prints->at[largest]))
                largest = n;
        }
        num i = prints->at[largest];
        prints->at[largest] = prints->at[k];
        prints->at[k] = i;
        more = extend(s, stock, packing, (int)i);
        packing = more ? more : packing;
    }
    Run best = {0};
    for (more = packing; more;) {
        num needed = 0;
        int most_wanted = -1;
        for (int k = 0; k < more->kinds; k++) {
            num wanted = ceil_part(s->rest[more->kind[k]], more->copies[k]);
            if (wanted >= needed) {
                needed = wanted;
                most_wanted = more->kind[k];
            }
        }
        Run run = run_of(s, number, more, needed);
        if (!best.packing || run.cost < best.cost)
            best = run;
        more = extend(s, stock, more, most_wanted);
    }
    return best;
}

/* The last layout that is allowed: all that is short goes on it, as far as there is room. */
static void
add_last(Search *s)
{
    Numbers *some = &s->some;
    int seed = pick_seed(s);
    some->count = 0;
    for (int k = 0; k < s->count; k++)
        if (s->stocks[k].usable[seed])
            add_number(s, some, k);
    int number = (int)some->at[below(s, some->count)], medium = s->stocks[number].medium;
    some->count = 0;
    for (int k = 0; k < s->missings; k++) {
        int i = s->missing[k];
        if (s->stocks[number].usable[i] && (s->plan.medium[i] < 0 || s->plan.medium[i] == medium))
            add_number(s, some, i);
    }
    if (some->count)
        add_run(s, even_run(s, number, some));
}

void
complete(Search *s)
{
    if (s->plan.count) {
        squeeze(s, 0.7, -1);
        if (s->plan.lacks && next_random(&s->chance) < 0.5)
            evict(s, -1);
    }
    while (s->plan.lacks) {
        list_missing(s);
        Step best = best_raise(s, -1);
        if (s->most >= 0 && s->plan.count == s->most - 1) {
            add_last(s);
            continue;
        }
        if (s->most < 0 || s->plan.count < s->most || !best.found)
            best_layout(s, &best);
        if (best.run.number < 0)
            add_run(s, best.run);
        else
            put_run(s, best.run.number, &best.run);
    }
    settle(s);
}

/* Makes the plan cover everything by other runs than the one that is fixed; 0 where that fails. */
int
shift(Search *s, num fixed)
{
    squeeze(s, 1.0, fixed);
    if (s->plan.lacks)
        evict(s, fixed);
    for (int k = 0; k < RAISES && s->plan.lacks; k++) {
        list_missing(s);
        Step step = best_raise(s, fixed);
        if (!step.found)
            return 0;
        put_run(s, step.run.number, &step.run);
    }
    if (s->plan.lacks)
        return 0;
    settle(s);
    return 1;
}
