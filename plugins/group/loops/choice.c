/* The best set of prints (choice.py). */
#include "kernel.h"

typedef struct {
    int print, cells, before;
    double gain;
} Item;

typedef struct {
    int first, count; /* of the pairs of one misfit */
} Span;

typedef struct {
    int print, copies, next; /* `next` is the next pair that is reached by as many copies of this print */
    int misfit;
} Pair;

typedef struct {
    Item *items;
    int item_count, prints;
    int *counts, *best, *shut, *reaching; /* `reaching`: the first pair by print and copies */
    Pair *pairs;
    Span *misfits;
    double worth, open;
    long long left;
    int found;
} Choice;

#define MOST_COPIES 1024

static double
bound_of(const Choice *choice, int at, int room, double worth)
{
    for (; at < choice->item_count; at++) {
        const Item *item = &choice->items[at];
        if (choice->shut[item->print])
            continue;
        if (item->cells > room)
            return worth + item->gain * room / item->cells;
        worth += item->gain;
        room -= item->cells;
    }
    return worth;
}

static int
impossible(Choice *choice, int print)
{
    for (int pair = choice->reaching[print * MOST_COPIES + choice->counts[print]]; pair >= 0;
         pair = choice->pairs[pair].next) {
        Span span = choice->misfits[choice->pairs[pair].misfit];
        choice->left--;
        int k = span.first, end = span.first + span.count;
        while (k < end && choice->counts[choice->pairs[k].print] >= choice->pairs[k].copies)
            k++;
        if (k == end)
            return 1;
    }
    return 0;
}

static void
search(Choice *choice, int at, int room, double worth)
{
    double bound = bound_of(choice, at, room, worth);
    if (bound <= choice->worth)
        return;
    if (choice->left <= 0) {
        if (bound > choice->open)
            choice->open = bound;
        return;
    }
    choice->left--;
    while (at < choice->item_count &&
           (choice->shut[choice->items[at].print] || choice->items[at].cells > room))
        at++;
    if (at == choice->item_count) {
        if (worth > choice->worth) {
            choice->worth = worth;
            choice->found = 1;
            memcpy(choice->best, choice->counts, (size_t)choice->prints * sizeof(int));
        }
        return;
    }
    Item item = choice->items[at];
    if (choice->counts[item.print] == item.before) {
        choice->counts[item.print]++;
        if (!impossible(choice, item.print))
            search(choice, at + 1, room - item.cells, worth + item.gain);
        choice->counts[item.print]--;
    }
    choice->shut[item.print]++;
    search(choice, at + 1, room, worth);
    choice->shut[item.print]--;
}

/* Reads items, counts and misfits into a choice; 0 with an error set where they are not such. */
static int
read_choice(Choice *choice, PyObject *items, PyObject *counts, PyObject *misfits_)
{
    Py_ssize_t prints = PyList_Size(counts), item_count = PyList_Size(items), misfit_count = PyList_Size(misfits_);
    Py_ssize_t pairs = 0;
    for (Py_ssize_t k = 0; k < misfit_count; k++) {
        Py_ssize_t size = PyTuple_Size(PyList_GetItem(misfits_, k));
        if (size < 0)
            return 0;
        pairs += size;
    }
    choice->prints = (int)prints;
    choice->item_count = (int)item_count;
    choice->items = calloc((size_t)item_count + 1, sizeof(Item));
    choice->counts = calloc((size_t)prints + 1, sizeof(int));
    choice->best = calloc((size_t)prints + 1, sizeof(int));
    choice->shut = calloc((size_t)prints + 1, sizeof(int));
    choice->reaching = malloc(((size_t)prints * MOST_COPIES + 1) * sizeof(int));
    choice->pairs = calloc((size_t)pairs + 1, sizeof(Pair));
    choice->misfits = calloc((size_t)misfit_count + 1, sizeof(Span));
    if (!choice->items || !choice->counts || !choice->best || !choice->shut || !choice->reaching || !choice->pairs ||
        !choice->misfits) {
        PyErr_NoMemory();
        return 0;
    }
    for (Py_ssize_t k = 0; k < prints * MOST_COPIES; k++)
        choice->reaching[k] = -1;
    for (Py_ssize_t k = 0; k < prints; k++) {
        choice->counts[k] = (int)PyLong_AsLong(PyList_GetItem(counts, k));
        if (PyErr_Occurred())
            return 0;
    }
    for (Py_ssize_t k = 0; k < item_count; k++) {
        PyObject *one = PyList_GetItem(items, k);
        if (!is_tuple_of(one, 4))
            return 0;
        Item *item = &choice->items[k];
        item->print = (int)PyLong_AsLong(PyTuple_GetItem(one, 0));
        item->cells = (int)PyLong_AsLong(PyTuple_GetItem(one, 1));
        item->gain = PyFloat_AsDouble(PyTuple_GetItem(one, 2));
        item->before = (int)PyLong_AsLong(PyTuple_GetItem(one, 3));
        if (PyErr_Occurred())
            return 0;
        if (item->print < 0 || item->print >= prints || item->before < 0 || item->before >= MOST_COPIES - 1) {
            PyErr_SetString(PyExc_ValueError, "there is no such print, or too many copies");
            return 0;
        }
    }
    int pair = (int)pairs;
    for (int k = (int)misfit_count - 1; k >= 0; k--) {
        PyObject *one = PyList_GetItem(misfits_, k);
        int size = (int)PyTuple_Size(one);
        pair -= size;
        choice->misfits[k] = (Span){pair, size};
        for (int n = 0; n < size; n++) {
            num both[2];
            if (!read_numbers(PyTuple_GetItem(one, n), both, 2))
                return 0;
            if (both[0] < 0 || both[0] >= prints || both[1] < 1 || both[1] >= MOST_COPIES) {
                PyErr_SetString(PyExc_ValueError, "there is no such print, or too many copies");
                return 0;
            }
            int *first = &choice->reaching[both[0] * MOST_COPIES + both[1]];
            choice->pairs[pair + n] = (Pair){(int)both[0], (int)both[1], *first, k};
            *first = pair + n;
        }
    }
    return 1;
}

PyObject *
choose_set(PyObject *self, PyObject *args)
{
    PyObject *items, *counts, *misfits_, *chosen = NULL, *result = NULL;
    int room;
    double floor;
    Choice choice = {0};
    (void)self;
    if (!PyArg_ParseTuple(args, "O!O!iO!dL", &PyList_Type, &items, &PyList_Type, &counts, &room, &PyList_Type,
                          &misfits_, &floor, &choice.left))
        return NULL;
    choice.worth = choice.open = floor;
    if (read_choice(&choice, items, counts, misfits_)) {
        search(&choice, 0, room, 0.0);
        chosen = choice.found ? PyList_New(choice.prints) : Py_NewRef(Py_None);
        for (int k = 0; choice.found && chosen && k < choice.prints; k++) {
            PyObject *count = PyLong_FromLong(choice.best[k]);
            if (!count || PyList_SetItem(chosen, k, count) < 0)
                Py_CLEAR(chosen);
        }
        double bound = choice.open > choice.worth ? choice.open : choice.worth;
        result = chosen ? Py_BuildValue("(ddN)", bound, choice.worth, chosen) : NULL;
    }
    free(choice.items);
    free(choice.counts);
    free(choice.best);
    free(choice.shut);
    free(choice.reaching);
    free(choice.pairs);
    free(choice.misfits);
    return result;
}
