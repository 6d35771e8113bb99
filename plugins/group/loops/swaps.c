/* Prints that change their places (swaps.py). */
#include <math.h>
#include "chance.h"
#include "kernel.h"

#define OUT 0.4
#define PAIRS 10

/* Prints on a sheet in ascending order, and the room that they leave; or prints that are out, and a whole sheet. */
typedef struct {
    Py_ssize_t count, *at;
    num room;
} Pile;

typedef struct {
    Py_ssize_t order;
    Rules rules;
} Try;

/* Prints, how they are laid, and piles of them: the sheets and last what is out. */
typedef struct {
    Py_ssize_t prints, tries, sheets, found;
    Ways *ways;
    num *area, *side, least;
    Py_ssize_t *rank[KINDS], *order, (*backs)[2];
    Try *try;
    Room whole;
    int carving;
    Rooms rooms, spare;
    Pile *piles, fuller, emptier;
    uint64_t chance;
} Swaps;

/* Whether the prints of a pile were laid on one sheet; -1 on error. */
static int
lie_together(Swaps *swaps, const Pile *pile)
{
    Rules limits = {0, 0, swaps->least, INT64_MAX, pile->room};
    int laid = pile->count < 2;
    for (Py_ssize_t k = 0; k < pile->count; k++)
        limits.useful = swaps->side[pile->at[k]] < limits.useful ? swaps->side[pile->at[k]] : limits.useful;
    for (Py_ssize_t t = 0; !laid && t < swaps->tries; t++) {
        const Py_ssize_t *rank = swaps->rank[swaps->try[t].order];
        for (Py_ssize_t k = 0; k < pile->count; k++) {
            Py_ssize_t i = pile->at[k], n = k;
            for (; n > 0 && rank[swaps->order[n - 1]] > rank[i]; n--)
                swaps->order[n] = swaps->order[n - 1];
            swaps->order[n] = i;
        }
        Rules rules = limits;
        rules.choice = swaps->try[t].rules.choice;
        rules.split = swaps->try[t].rules.split;
        swaps->rooms.at[0] = swaps->whole;
        swaps->rooms.count = laid = 1;
        for (Py_ssize_t k = 0; laid > 0 && k < pile->count; k++) {
            Room place;
            laid = put(&swaps->rooms, &swaps->ways[swaps->order[k]], &rules, swaps->carving ? &swaps->spare : NULL,
                       &place);
        }
    }
    return laid;
}

static Py_ssize_t
draw(Swaps *swaps, Py_ssize_t below)
{
    return (Py_ssize_t)(next_random(&swaps->chance) * (double)below);
}

/* Makes `into` of pile `from` less print `gone` and those of `less`, with those of `more` (-1: none). */
static void
make_pile(const Swaps *swaps, const Pile *from, const Py_ssize_t less[2], const Py_ssize_t more[2], Pile *into)
{
    Py_ssize_t gone[2] = {less[0], less[1]};
    into->count = 0;
    into->room = swaps->whole.w * swaps->whole.h;
    for (Py_ssize_t k = 0; k < from->count + 2; k++) {
        Py_ssize_t i = k < from->count ? from->at[k] : more[k - from->count], n = into->count;
        if (i < 0)
            continue;
        if (k < from->count && (i == gone[0] || i == gone[1])) {
            gone[i == gone[0] ? 0 : 1] = -1;
            continue;
        }
        for (; n > 0 && into->at[n - 1] > i; n--)
            into->at[n] = into->at[n - 1];
        into->at[n] = i;
        into->count++;
        into->room -= swaps->area[i];
    }
}

/* What a pile of prints gains by more area: the bounds, and the sum of squares. */
typedef struct {
    num room, spare;
    double whole, slope, bend, least;
} Gain;

static int
pays(const Gain *gain, num more)
{
    double part = (double)more / gain->whole;
    return -gain->spare <= more && more <= gain->room && part * (gain->slope + gain->bend * part) >= gain->least;
}

static void
add_back(Swaps *swaps, Py_ssize_t one, Py_ssize_t other)
{
    swaps->backs[swaps->found][0] = one;
    swaps->backs[swaps->found++][1] = other;
}

/* Lists what may come back for print `come`. */
static void
find_backs(Swaps *swaps, Py_ssize_t come, const Pile *to, const Pile *from, double least)
{
    num whole = swaps->whole.w * swaps->whole.h, area = swaps->area[come];
    int is_out = from == &swaps->piles[swaps->sheets];
    Gain gain = {to->room, is_out ? whole : from->room, (double)whole, 0, is_out ? 1 : 2, least};
    gain.slope = 2 * ((double)(gain.spare - gain.room) / gain.whole);
    swaps->found = 0;
    if (pays(&gain, area)) {
        add_back(swaps, -1, -1);
        return;
    }
    for (Py_ssize_t k = 0; k < to->count; k++) {
        num more = area - swaps->area[to->at[k]];
        if (to->at[k] != come && pays(&gain, more))
            add_back(swaps, to->at[k], -1);
        for (Py_ssize_t n = k + 1; to->count <= PAIRS && n < to->count; n++)
            if (pays(&gain, more - swaps->area[to->at[n]]))
                add_back(swaps, to->at[k], to->at[n]);
    }
}

static void
exchange(Pile *one, Pile *other)
{
    Pile kept = *one;
    *one = *other;
    *other = kept;
}

/* Tries one change, and takes what it laid off the work; 0 with an error set where memory is out. */
static int
change_once(Swaps *swaps, double warmth, long long *work)
{
    Pile *to = &swaps->piles[draw(swaps, swaps->sheets)];
    int is_out = next_random(&swaps->chance) < OUT;
    Pile *from = &swaps->piles[is_out ? swaps->sheets : draw(swaps, swaps->sheets)];
    if (from == to || !from->count)
        return 1;
    Py_ssize_t come[2] = {from->at[draw(swaps, from->count)], -1};
    find_backs(swaps, come[0], to, from, warmth * log(1 - next_random(&swaps->chance)));
    if (!swaps->found)
        return 1;
    const Py_ssize_t *back = swaps->backs[draw(swaps, swaps->found)];
    make_pile(swaps, to, back, come, &swaps->fuller);
    *work -= swaps->fuller.count;
    int laid = lie_together(swaps, &swaps->fuller);
    if (laid > 0) {
        make_pile(swaps, from, come, back, &swaps->emptier);
        if (!is_out) {
            *work -= swaps->emptier.count;
            laid = lie_together(swaps, &swaps->emptier);
        }
    }
    if (laid > 0) {
        exchange(to, &swaps->fuller);
        exchange(from, &swaps->emptier);
    }
    return laid >= 0;
}

/* The length of a list; -1 with an error set where it is none. */
static Py_ssize_t
list_size(PyObject *list)
{
    if (PyList_Check(list))
        return PyList_Size(list);
    PyErr_SetString(PyExc_TypeError, "a list is wanted");
    return -1;
}

static int
read_prints(PyObject *all_ways, PyObject *ranks, Swaps *swaps)
{
    Py_ssize_t count = swaps->prints = PyList_Size(all_ways);
    swaps->ways = malloc((size_t)(count + 1) * sizeof(Ways));
    swaps->area = malloc((size_t)(count + 1) * 2 * sizeof(num));
    swaps->rank[0] = malloc((size_t)(count + 1) * KINDS * sizeof(Py_ssize_t));
    if (!swaps->ways || !swaps->area || !swaps->rank[0]) {
        PyErr_NoMemory();
        return 0;
    }
    swaps->side = swaps->area + count;
    swaps->least = INT64_MAX;
    for (Py_ssize_t i = 0; i < count; i++) {
        Ways *ways = &swaps->ways[i];
        if (!read_own_ways(PyList_GetItem(all_ways, i), ways))
            return 0;
        swaps->area[i] = ways->w[0] * ways->h[0];
        swaps->side[i] = ways->w[0] < ways->h[0] ? ways->w[0] : ways->h[0];
        swaps->least = swaps->side[i] < swaps->least ? swaps->side[i] : swaps->least;
    }
    for (Py_ssize_t k = 0; k < KINDS; k++) {
        PyObject *rank = is_tuple_of(ranks, KINDS) ? PyTuple_GetItem(ranks, k) : NULL;
        swaps->rank[k] = swaps->rank[0] + k * count;
        if (!rank || list_size(rank) < 0)
            return 0;
        for (Py_ssize_t i = 0; i < count; i++) {
            PyObject *place = PyList_GetItem(rank, i);
            swaps->rank[k][i] = place ? PyLong_AsSsize_t(place) : -1;
            if (PyErr_Occurred())
                return 0;
        }
    }
    return 1;
}

static int
read_tries(PyObject *tries, Swaps *swaps)
{
    swaps->tries = PyTuple_Size(tries);
    swaps->try = malloc((size_t)(swaps->tries + 1) * sizeof(Try));
    if (!swaps->try) {
        PyErr_NoMemory();
        return 0;
    }
    for (Py_ssize_t k = 0; k < swaps->tries; k++)
        if (!read_try(PyTuple_GetItem(tries, k), KINDS, &swaps->try[k].order, &swaps->try[k].rules))
            return 0;
    return 1;
}

/* Reads the prints of a list into a pile. */
static int
read_pile(PyObject *list, const Swaps *swaps, Pile *pile)
{
    pile->count = PyList_Size(list);
    pile->room = swaps->whole.w * swaps->whole.h;
    for (Py_ssize_t k = 0; k < pile->count; k++) {
        Py_ssize_t i = PyLong_AsSsize_t(PyList_GetItem(list, k));
        if (i < 0 || i >= swaps->prints) {
            if (!PyErr_Occurred())
                PyErr_SetString(PyExc_IndexError, "there is no such print");
            return 0;
        }
        pile->at[k] = i;
        pile->room -= swaps->area[i];
    }
    return 1;
}

static PyObject *
pile_of(PyObject *sheets, Py_ssize_t k, PyObject *out)
{
    return k < PyList_Size(sheets) ? PyList_GetItem(sheets, k) : out;
}

/* Reads sheets and what is out; any pile may come to hold all prints. */
static int
read_piles(PyObject *sheets, PyObject *out, Swaps *swaps)
{
    Py_ssize_t all = 2;
    swaps->sheets = PyList_Size(sheets);
    for (Py_ssize_t k = 0; k <= swaps->sheets; k++) {
        Py_ssize_t own = list_size(pile_of(sheets, k, out));
        if (own < 0)
            return 0;
        all += own;
    }
    swaps->piles = malloc((size_t)(swaps->sheets + 1) * sizeof(Pile));
    swaps->order = malloc((size_t)((swaps->sheets + 4) * all) * sizeof(Py_ssize_t));
    swaps->backs = malloc((size_t)(all + PAIRS * PAIRS) * sizeof(*swaps->backs));
    if (!swaps->piles || !swaps->order || !swaps->backs || !reserve(&swaps->rooms, 8)) {
        PyErr_NoMemory();
        return 0;
    }
    swaps->fuller.at = swaps->order + all;
    swaps->emptier.at = swaps->order + 2 * all;
    for (Py_ssize_t k = 0; k <= swaps->sheets; k++) {
        swaps->piles[k].at = swaps->order + (3 + k) * all;
        if (!read_pile(pile_of(sheets, k, out), swaps, &swaps->piles[k]))
            return 0;
    }
    return 1;
}

static int
write_piles(PyObject *sheets, PyObject *out, const Swaps *swaps)
{
    int good = 1;
    for (Py_ssize_t k = 0; good && k <= swaps->sheets; k++) {
        const Pile *pile = &swaps->piles[k];
        PyObject *list = pile_of(sheets, k, out), *all = PyList_New(pile->count);
        for (Py_ssize_t n = 0; all && n < pile->count; n++) {
            PyObject *index = PyLong_FromSsize_t(pile->at[n]);
            if (!index || PyList_SetItem(all, n, index) < 0)
                Py_CLEAR(all);
        }
        good = all && PyList_SetSlice(list, 0, PyList_Size(list), all) == 0;
        Py_XDECREF(all);
    }
    return good;
}

PyObject *
change_places(PyObject *self, PyObject *args)
{
    PyObject *ways, *ranks, *tries, *sheets, *out;
    long long width, height, work;
    double warmth;
    unsigned long long seed;
    Swaps swaps = {0};
    (void)self;
    if (!PyArg_ParseTuple(args, "p(LL)O!OO!O!O!dLK", &swaps.carving, &width, &height, &PyList_Type, &ways, &ranks,
                          &PyTuple_Type, &tries, &PyList_Type, &sheets, &PyList_Type, &out, &warmth, &work, &seed))
        return NULL;
    swaps.whole = (Room){0, 0, width, height};
    swaps.chance = seed;
    int good = read_prints(ways, ranks, &swaps) && read_tries(tries, &swaps) && read_piles(sheets, out, &swaps);
    while (good && work > 0 && swaps.piles[swaps.sheets].count) {
        work--;
        good = change_once(&swaps, warmth, &work);
    }
    good = good && write_piles(sheets, out, &swaps);
    free(swaps.ways);
    free(swaps.area);
    free(swaps.rank[0]);
    free(swaps.try);
    free(swaps.piles);
    free(swaps.order);
    free(swaps.backs);
    free(swaps.rooms.at);
    free(swaps.spare.at);
    return good ? Py_NewRef(Py_None) : NULL;
}
