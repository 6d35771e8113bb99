/* Whether prints can lie on one sheet, and where (packer.py). */
#include "search.h"

#define FEW 10
#define STRIP_WORK 400
#define ROUNDING 1e-9

static uint64_t
mixed(int index)
{
    uint64_t state = ((uint64_t)index + 1) * 0x9E3779B97F4A7C15u;
    state = (state ^ (state >> 30)) * 0xBF58476D1CE4E5B9u;
    state = (state ^ (state >> 27)) * 0x94D049BB133111EBu;
    return state ^ (state >> 31);
}

static void
sort_up(int *at, int count)
{
    for (int k = 1; k < count; k++) {
        int one = at[k], n = k;
        for (; n > 0 && at[n - 1] > one; n--)
            at[n] = at[n - 1];
        at[n] = one;
    }
}

/* Drafts the prints of a packing with one copy less, and returns how many those are. */
int
draft_without(Search *s, const Packing *packing, int index)
{
    int count = 0, gone = 0;
    room_for(s, packing->count);
    for (int k = 0; k < packing->count; k++)
        if (gone || packing->key[k] != index)
            s->draft[count++] = packing->key[k];
        else
            gone = 1;
    return count;
}

/* Makes room for drafts of so many prints, and keeps what is drafted. */
void
room_for(Search *s, int prints)
{
    if (prints <= s->draft_size)
        return;
    int size = 2 * prints + 16;
    s->draft = resized(s, s->draft, (size_t)size * sizeof(int));
    for (int k = 0; k < KINDS; k++)
        s->queue[k] = resized(s, s->queue[k], (size_t)size * sizeof(int));
    s->filled = resized(s, s->filled, (size_t)size * sizeof(int));
    s->places = resized(s, s->places, (size_t)size * sizeof(Room));
    s->spots = resized(s, s->spots, (size_t)size * sizeof(Room));
    s->draft_size = size;
}

/* A packing of prints in the order in which they lie; what was not found needs neither places nor rooms. */
Packing *
new_packing(Search *s, const int *laid, int count, const Room *places, const Rooms *rooms, num room, double spare,
            int found)
{
    int frees = found ? (int)rooms->count : 0, rects = found ? count + frees : 0, ints = (found ? 4 : 1) * count;
    Packing *one = resized(s, NULL, sizeof(Packing) + (size_t)rects * sizeof(Room) + (size_t)ints * sizeof(int));
    *one = (Packing){.next = s->packings, .room = room, .spare = spare, .count = count, .frees = frees, .found = found};
    s->packings = one;
    one->places = (Room *)(one + 1);
    one->free = one->places + (found ? count : 0);
    one->key = (int *)(one->places + rects);
    memcpy(one->key, laid, (size_t)count * sizeof(int));
    sort_up(one->key, count);
    for (int k = 0; k < count; k++)
        one->hash += mixed(laid[k]);
    if (!found)
        return one;
    one->laid = one->key + count;
    one->kind = one->laid + count;
    one->copies = one->kind + count;
    memcpy(one->laid, laid, (size_t)count * sizeof(int));
    memcpy(one->places, places, (size_t)count * sizeof(Room));
    memcpy(one->free, rooms->at, (size_t)frees * sizeof(Room));
    for (int k = 0; k < count; k++) {
        if (!k || one->key[k] != one->key[k - 1]) {
            one->kind[one->kinds] = one->key[k];
            one->copies[one->kinds++] = 0;
        }
        one->copies[one->kinds - 1]++;
    }
    return one;
}

int
same_key(const Packing *a, const Packing *b)
{
    return a == b || (a->hash == b->hash && a->count == b->count &&
                      !memcmp(a->key, b->key, (size_t)a->count * sizeof(int)));
}

/* Where in the memory the packing with this key is, or could be put. */
static Packing **
place_of(Stock *stock, uint64_t hash, const int *key, int count)
{
    size_t at = hash & (stock->size - 1);
    for (Packing *one; (one = stock->memory[at]); at = (at + 1) & (stock->size - 1))
        if (one->hash == hash && one->count == count && !memcmp(one->key, key, (size_t)count * sizeof(int)))
            break;
    return &stock->memory[at];
}

void
forget(Search *s, Stock *stock)
{
    s->loose += stock->held;
    stock->held = 0;
    stock->known = 0;
    if (stock->memory)
        memset(stock->memory, 0, stock->size * sizeof(Packing *));
}

/* Frees the packings that no memory and no run holds. */
void
sweep(Search *s)
{
    for (Packing *one = s->packings; one; one = one->next)
        one->kept = 0;
    for (int k = 0; k < s->count; k++)
        for (size_t n = 0; n < s->stocks[k].size; n++)
            if (s->stocks[k].memory[n])
                s->stocks[k].memory[n]->kept = 1;
    for (int k = 0; k < s->plan.count; k++)
        s->plan.runs[k].packing->kept = 1;
    for (int k = 0; k < s->bests; k++)
        s->best[k].packing->kept = 1;
    for (Packing **at = &s->packings; *at;) {
        Packing *one = *at;
        if (one->kept)
            at = &one->next;
        else {
            *at = one->next;
            free(one);
        }
    }
    s->loose = 0;
}

static void
grow(Search *s, Stock *stock)
{
    size_t before = stock->size, size = before ? 2 * before : 1024;
    Packing **old = stock->memory;
    stock->memory = resized(s, NULL, size * sizeof(Packing *));
    memset(stock->memory, 0, size * sizeof(Packing *));
    stock->size = size;
    for (size_t k = 0; k < before; k++)
        if (old[k])
            *place_of(stock, old[k]->hash, old[k]->key, old[k]->count) = old[k];
    free(old);
}

static Packing *
remember(Search *s, Stock *stock, Packing *one)
{
    if (stock->held >= s->memory)
        forget(s, stock);
    if (2 * stock->known >= stock->size)
        grow(s, stock);
    Packing **place = place_of(stock, one->hash, one->key, one->count);
    if (!*place) {
        stock->known++;
        stock->held += one->count;
    }
    *place = one;
    return one;
}

static Packing *
recall(Stock *stock, uint64_t hash, const int *key, int count)
{
    return stock->size ? *place_of(stock, hash, key, count) : NULL;
}

/* The prints in the order of one queue. */
static const int *
queued(Search *s, const Stock *stock, int order, const int *key, int count)
{
    int *queue = s->queue[order];
    const int *rank = stock->ranks[order];
    for (int k = 0; k < count; k++) {
        int one = key[k], n = k;
        for (; n > 0 && rank[queue[n - 1]] > rank[one]; n--)
            queue[n] = queue[n - 1];
        queue[n] = one;
    }
    return queue;
}

static int
put_down(Search *s, const Stock *stock, Rooms *rooms, int index, Rules *rules, Room *place)
{
    int laid = put(rooms, &stock->ways[index], rules, s->carving ? &s->spare : NULL, place);
    if (laid < 0)
        longjmp(s->out_of_memory, 1);
    return laid;
}

/* Lays everything by one of the stock's tries; 0 where that fails. */
static int
lay(Search *s, const Stock *stock, const int *queue, int count, const Try *one, num useful, num slack)
{
    Rules rules = one->rules;
    rules.least = stock->least;
    rules.useful = useful;
    rules.slack = slack;
    s->rooms.at[0] = stock->whole;
    s->rooms.count = 1;
    int n = 0;
    while (n < count && put_down(s, stock, &s->rooms, queue[n], &rules, &s->places[n]))
        n++;
    return n == count;
}

/* How long a piece must be for these prints. */
num
used_height(const Stock *stock, const Packing *packing)
{
    num top = 0;
    for (int k = 0; k < packing->count; k++)
        if (packing->places[k].y + packing->places[k].h > top)
            top = packing->places[k].y + packing->places[k].h;
    return top + stock->roll.ends;
}

/* Lays everything in several orders and by several rules: the first way that is found, or on a roll the lowest of
 * several. `key` may be the draft, but is no queue.
 */
static Packing *
look(Search *s, Stock *stock, const int *key, int count, num room, double spare)
{
    if (room < 0 || spare < -ROUNDING)
        return new_packing(s, key, count, NULL, NULL, room, spare, 0);
    num useful = stock->sides[key[0]];
    for (int k = 1; k < count; k++)
        if (stock->sides[key[k]] < useful)
            useful = stock->sides[key[k]];
    int tries = s->carving && count <= FEW ? stock->few_tries : stock->tried;
    if (stock->roll.step)
        tries = 2 + STRIP_WORK / count < stock->tried ? 2 + STRIP_WORK / count : stock->tried;
    const int *queues[KINDS] = {0};
    Packing *lowest = NULL;
    for (int k = 0; k < tries; k++) {
        int order = stock->tries[k].order;
        if (!queues[order])
            queues[order] = queued(s, stock, order, key, count);
        if (!lay(s, stock, queues[order], count, &stock->tries[k], useful, room))
            continue;
        Packing *one = new_packing(s, queues[order], count, s->places, &s->rooms, room, spare, 1);
        if (!stock->roll.step)
            return one;
        s->loose += count;
        if (!lowest || used_height(stock, one) < used_height(stock, lowest))
            lowest = one;
    }
    return lowest ? lowest : new_packing(s, key, count, NULL, NULL, room, spare, 0);
}

/* What is remembered of the prints, in any order; they are sorted into the draft. */
static Packing *
known(Search *s, Stock *stock, const int *laid, int count)
{
    uint64_t hash = 0;
    room_for(s, count);
    memmove(s->draft, laid, (size_t)count * sizeof(int));
    sort_up(s->draft, count);
    for (int k = 0; k < count; k++)
        hash += mixed(laid[k]);
    return recall(stock, hash, s->draft, count);
}

/* A packing of the prints, in any order, or NULL if none was found. */
Packing *
pack(Search *s, Stock *stock, const int *laid, int count)
{
    Packing *one = known(s, stock, laid, count);
    if (!one) {
        num room = stock->room;
        double spare = 1.0;
        for (int k = 0; k < count; k++) {
            room -= stock->areas[s->draft[k]];
            spare -= stock->weights[s->draft[k]];
        }
        one = remember(s, stock, look(s, stock, s->draft, count, room, spare));
    }
    return one->found ? one : NULL;
}

/* The packing with one more copy, or NULL if no way was found. */
Packing *
extend(Search *s, Stock *stock, Packing *packing, int index)
{
    num room = packing->room - stock->areas[index];
    double spare = packing->spare - stock->weights[index];
    if (room < 0 || spare < -ROUNDING)
        return NULL;
    int count = packing->count + 1;
    room_for(s, count);
    memcpy(s->draft, packing->key, (size_t)(count - 1) * sizeof(int));
    s->draft[count - 1] = index;
    sort_up(s->draft, count);
    Packing *one = recall(stock, packing->hash + mixed(index), s->draft, count);
    if (one)
        return one->found ? one : NULL;
    if (!reserve(&s->rooms, packing->frees + 8 - s->rooms.count))
        longjmp(s->out_of_memory, 1);
    memcpy(s->rooms.at, packing->free, (size_t)packing->frees * sizeof(Room));
    s->rooms.count = packing->frees;
    Rules rules = {0, 0, stock->least, 0, 0};
    if (put_down(s, stock, &s->rooms, index, &rules, &s->places[count - 1])) {
        memcpy(s->places, packing->places, (size_t)(count - 1) * sizeof(Room));
        memcpy(s->draft, packing->laid, (size_t)(count - 1) * sizeof(int));
        s->draft[count - 1] = index;
        one = new_packing(s, s->draft, count, s->places, &s->rooms, room, spare, 1);
        if (stock->roll.step) { /* there may be a lower way */
            s->loose += count;
            return one;
        }
    }
    else
        one = look(s, stock, s->draft, count, room, spare);
    return remember(s, stock, one)->found ? one : NULL;
}

/* An empty sheet. */
Packing *
nothing_laid(Search *s, const Stock *stock)
{
    room_for(s, 1);
    s->rooms.at[0] = stock->whole;
    s->rooms.count = 1;
    return new_packing(s, s->draft, 0, s->places, &s->rooms, stock->room, 1.0, 1);
}

/* As many of the prints wanted, in turn, as there is room for. */
Packing *
fill(Search *s, Stock *stock, const num *wanted, int count)
{
    Rules rules = {0, 0, stock->least, 0, 0};
    Rooms *left = &s->left;
    num room = stock->room;
    double spare = 1.0;
    int laid = 0, patient = 0, missed = -1;
    left->at[0] = stock->whole;
    left->count = 1;
    for (int at = 0; at < count; at++) {
        int index = (int)wanted[at];
        if (index == missed || stock->areas[index] > room || spare - stock->weights[index] < -ROUNDING)
            continue;
        room_for(s, laid + 1);
        s->filled[laid] = index;
        if (put_down(s, stock, left, index, &rules, &s->spots[laid])) {
            laid++;
            room -= stock->areas[index];
            spare -= stock->weights[index];
            continue;
        }
        /* What finds no room is laid anew with all that is there, until that fails. */
        Packing *one = patient ? NULL : pack(s, stock, s->filled, laid + 1);
        if (!one) {
            patient = 1;
            missed = index;
            continue;
        }
        laid = one->count;
        room = one->room;
        spare = one->spare;
        memcpy(s->filled, one->laid, (size_t)laid * sizeof(int));
        memcpy(s->spots, one->places, (size_t)laid * sizeof(Room));
        if (!reserve(left, one->frees + 8 - left->count))
            longjmp(s->out_of_memory, 1);
        memcpy(left->at, one->free, (size_t)one->frees * sizeof(Room));
        left->count = one->frees;
    }
    Packing *one = known(s, stock, s->filled, laid);
    if (one && one->found)
        return one;
    return remember(s, stock, new_packing(s, s->filled, laid, s->spots, left, room, spare, 1));
}

/* The prints wanted laid in one way picked at random, or NULL if they do not fit so. */
Packing *
lay_once(Search *s, Stock *stock, const num *wanted, int count)
{
    num room = stock->room;
    double spare = 1.0;
    room_for(s, count);
    for (int k = 0; k < count; k++) {
        s->draft[k] = (int)wanted[k];
        room -= stock->areas[wanted[k]];
        spare -= stock->weights[wanted[k]];
    }
    const Try *one = &stock->tries[below(s, stock->tried)];
    const int *queue = queued(s, stock, one->order, s->draft, count);
    if (!lay(s, stock, queue, count, one, 0, 0))
        return NULL;
    s->loose += count;
    return new_packing(s, queue, count, s->places, &s->rooms, room, spare, 1);
}
