/* Prints that are short covered by the layouts that are there already (squeeze.py). */
#include "search.h"

#define LOOKED_AT 40
#define COPIES 3
#define EVICTIONS 3

typedef struct {
    num number;
    int copies;
} Host;

static int
may_join(const Search *s, int i, const Run *run)
{
    const Stock *stock = &s->stocks[run->stock];
    return s->company[i] == s->company[run->packing->key[0]] && stock->usable[i] &&
           (s->plan.medium[i] < 0 || s->plan.medium[i] == stock->medium);
}

/* In random order, the runs that a print may join, and how many copies each needs of it. */
static int
list_hosts(Search *s, int i, num fixed, Host *hosts)
{
    int found = 0, looked = s->plan.count < LOOKED_AT ? s->plan.count : LOOKED_AT;
    num missing = s->need[i] - s->plan.cover[i];
    take_numbers(s, &s->some);
    sample(s, s->some.at, s->some.count, looked);
    for (int k = 0; k < looked; k++) {
        const Run *run = run_at(&s->plan, s->some.at[k]);
        num copies = ceil_part(missing, run->quantity);
        if (run->number != fixed && copies <= COPIES && may_join(s, i, run))
            hosts[found++] = (Host){run->number, (int)copies};
    }
    return found;
}

/* Covers the rest of a print by room on a layout that is there, if that costs nothing. */
static void
squeeze_in(Search *s, int i, num fixed)
{
    Host hosts[LOOKED_AT];
    int found = list_hosts(s, i, fixed, hosts);
    for (int k = 0; k < found; k++) {
        Run *run = run_at(&s->plan, hosts[k].number);
        Stock *stock = &s->stocks[run->stock];
        Packing *packing = run->packing;
        if (hosts[k].copies * stock->areas[i] > packing->room)
            continue;
        for (int n = 0; n < hosts[k].copies && packing; n++)
            packing = extend(s, stock, packing, i);
        if (!packing)
            continue;
        Run joined = run_of(s, run->stock, packing, run->quantity);
        if (joined.cost <= run->cost) {
            put_run(s, run->number, &joined);
            return;
        }
    }
}

/* Tries to cover each print that is short, with this chance, by other runs than the one that is fixed. */
void
squeeze(Search *s, double chance, num fixed)
{
    Numbers *some = &s->more;
    some->count = 0;
    for (int i = 0; i < s->prints; i++)
        if (s->plan.lacking[i])
            add_number(s, some, i);
    sample(s, some->at, some->count, some->count);
    for (int k = 0; k < some->count; k++)
        if (next_random(&s->chance) < chance)
            squeeze_in(s, (int)some->at[k], fixed);
}

/* Covers a print that is short in the place of a smaller one, and that one by room elsewhere if there is any. */
void
evict(Search *s, num fixed)
{
    Host hosts[LOOKED_AT];
    list_missing(s);
    int i = s->missing[below(s, s->missings)], tries = 0, found = list_hosts(s, i, fixed, hosts);
    for (int k = 0; k < found && tries < EVICTIONS; k++) {
        const Run *run = run_at(&s->plan, hosts[k].number);
        Stock *stock = &s->stocks[run->stock];
        const Packing *old = run->packing;
        num area = hosts[k].copies * stock->areas[i], least = area - old->room;
        int smaller = 0, place = 0, copies = hosts[k].copies;
        for (int n = 0; n < old->kinds; n++)
            smaller += old->kind[n] != i && least <= stock->areas[old->kind[n]] && stock->areas[old->kind[n]] < area;
        if (!smaller)
            continue;
        for (num drawn = below(s, smaller); drawn >= 0; place++) {
            int j = old->kind[place];
            drawn -= j != i && least <= stock->areas[j] && stock->areas[j] < area;
        }
        int j = old->kind[place - 1], count = draft_without(s, old, j);
        room_for(s, old->count + copies);
        for (int n = 0; n < copies; n++)
            s->draft[count++] = i;
        Packing *packing = pack(s, stock, s->draft, count);
        if (packing) {
            num number = run->number;
            Run joined = run_of(s, run->stock, packing, run->quantity);
            put_run(s, number, &joined);
            if (s->plan.lacking[j])
                squeeze_in(s, j, number);
            return;
        }
        tries++;
    }
}
