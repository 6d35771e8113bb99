/* What is bought for nothing taken out of a plan (settle.py). */
#include "search.h"

/* Whether two runs have the same prints on the same kind of sheet. */
static int
alike(const Run *one, const Run *other)
{
    return one->packing->hash == other->packing->hash && one->stock == other->stock && one->steps == other->steps &&
           same_key(one->packing, other->packing);
}

/* One run of runs that are alike. */
static void
merge(Search *s)
{
    Plan *plan = &s->plan;
    int same = 0;
    for (int k = 1; k < plan->count && !same; k++)
        for (int n = 0; n < k && !same; n++)
            same = alike(&plan->runs[k], &plan->runs[n]);
    if (!same)
        return;
    Numbers *numbers = &s->some;
    take_numbers(s, numbers);
    for (int k = 1; k < numbers->count; k++)
        for (int n = 0; n < k; n++) {
            const Run *run = run_at(plan, numbers->at[k]), *other = run_at(plan, numbers->at[n]);
            if (!other || !alike(run, other))
                continue;
            Run both = *other;
            both.quantity = best_buy(table_of(s, other), run->quantity + other->quantity, &both.cost);
            put_run(s, numbers->at[k], NULL);
            put_run(s, numbers->at[n], &both);
            break;
        }
}

/* How many sheets of a run are needed beside all others. */
static num
least_of(const Search *s, const Run *run)
{
    num least = 0;
    for (int k = 0; k < run->packing->kinds; k++) {
        int i = run->packing->kind[k];
        num count = run->packing->copies[k], missing = s->need[i] - s->plan.cover[i] + count * run->quantity;
        if (missing > least * count)
            least = ceil_part(missing, count);
    }
    return least;
}

void
settle(Search *s)
{
    Plan *plan = &s->plan;
    Numbers *loose = &s->some;
    merge(s);
    loose->count = 0;
    for (int k = 0; k < plan->changed; k++) {
        const Packing *packing = plan->changes[k].after.packing;
        for (int n = 0; packing && n < packing->kinds; n++) {
            const Numbers *holders = &plan->holders[packing->kind[n]];
            for (int m = 0; m < holders->count; m++)
                add_number(s, loose, holders->at[m]);
        }
    }
    while (loose->count) {
        Run best = {0};
        num best_gain = 0;
        int kept = 0;
        for (int k = 0; k < loose->count; k++) {
            const Run *run = run_at(plan, loose->at[k]);
            num least = least_of(s, run), quantity = 0, cost = 0;
            if (least >= run->quantity)
                continue;
            loose->at[kept++] = run->number;
            if (least)
                quantity = best_buy(table_of(s, run), least, &cost);
            if (run->cost - cost > best_gain) {
                best_gain = run->cost - cost;
                best = *run;
                best.quantity = quantity;
                best.cost = cost;
            }
        }
        loose->count = kept;
        if (!best_gain)
            return;
        put_run(s, best.number, best.quantity ? &best : NULL);
        if (!best.quantity) {
            kept = 0;
            for (int k = 0; k < loose->count; k++)
                if (loose->at[k] != best.number)
                    loose->at[kept++] = loose->at[k];
            loose->count = kept;
        }
    }
}
