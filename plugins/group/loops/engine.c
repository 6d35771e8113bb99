/* What stands between the compiled search and Python (it is called by engine.py): a search is opened on a board, and keeps what it
 * remembers of layouts until it is dropped. Runs go in and out as (stock, steps, what is laid, quantity,
 * cost).
 */
#include "search.h"

#define SEARCH "plugins.group.kernel.search"
#define MOST ((num)1 << 31) /* for lengths and copies: their products are numbers of 64 bits */

static void
drop_table(Table *table)
{
    free(table->from);
    free(table->price);
}

static void
drop(Search *s)
{
    for (int k = 0; s->stocks && k < s->count; k++) {
        Stock *stock = &s->stocks[k];
        drop_table(&stock->table);
        drop_table(&stock->roll.by_length);
        for (num n = 0; stock->roll.pieces && n <= stock->roll.most; n++)
            drop_table(&stock->roll.pieces[n]);
        free(stock->roll.pieces);
        free(stock->ways);
        free(stock->areas);
        free(stock->sides);
        free(stock->weights);
        free(stock->usable);
        free(stock->tries);
        free(stock->memory);
        for (int n = 0; n < KINDS; n++)
            free(stock->ranks[n]);
    }
    for (int i = 0; s->plan.holders && i < s->prints; i++)
        free(s->plan.holders[i].at);
    for (Packing *next; s->packings; s->packings = next) {
        next = s->packings->next;
        free(s->packings);
    }
    for (int n = 0; n < KINDS; n++)
        free(s->queue[n]);
    void *blocks[] = {
        s->need, s->extra, s->least_extra, s->order_charge, s->rest, s->company, s->missing, s->worth, s->scores,
        s->choosy, s->stocks, s->best, s->draft, s->filled, s->wanted, s->wishes, s->places, s->spots, s->some.at,
        s->more.at, s->rooms.at, s->left.at, s->spare.at, s->plan.runs, s->plan.changes, s->plan.cover, s->plan.medium,
        s->plan.lacking, s->plan.holders, s->plan.runs_of_medium,
    };
    for (size_t k = 0; k < sizeof(blocks) / sizeof(*blocks); k++)
        free(blocks[k]);
    free(s);
}

static void
drop_capsule(PyObject *capsule)
{
    drop(PyCapsule_GetPointer(capsule, SEARCH));
}

/* Memory for so many, all 0. */
static void *
blank(Search *s, int count, size_t size)
{
    void *block = resized(s, NULL, (size_t)count * size);
    return memset(block, 0, (size_t)count * size);
}

/* --- from Python --------------------------------------------------------------------------------------- */

static int
is_list_of(PyObject *list, int count)
{
    if (list && PyList_Check(list) && PyList_Size(list) == count)
        return 1;
    if (!PyErr_Occurred())
        PyErr_Format(PyExc_TypeError, "a list of %d is wanted", count);
    return 0;
}

/* Whole numbers from `least` on. */
static num *
read_list(Search *s, PyObject *list, int count, num least)
{
    num *all = blank(s, count, sizeof(num));
    for (int k = 0; k < count; k++) {
        all[k] = is_list_of(list, count) ? PyLong_AsLongLong(PyList_GetItem(list, k)) : -1;
        if (!PyErr_Occurred() && all[k] < least)
            PyErr_SetString(PyExc_ValueError, "a number is too small");
        if (PyErr_Occurred())
            break;
    }
    return all;
}

static int *
read_ints(Search *s, PyObject *list, int count)
{
    int *ints = blank(s, count, sizeof(int));
    num *all = read_list(s, list, count, INT64_MIN);
    for (int k = 0; k < count && !PyErr_Occurred(); k++) {
        ints[k] = (int)all[k];
        if (ints[k] != all[k])
            PyErr_SetString(PyExc_ValueError, "a number is too large");
    }
    free(all);
    return ints;
}

static char *
read_flags(Search *s, PyObject *list, int count)
{
    char *all = blank(s, count, 1);
    for (int k = 0; k < count && is_list_of(list, count); k++)
        all[k] = PyObject_IsTrue(PyList_GetItem(list, k)) > 0;
    return all;
}

static double *
read_doubles(Search *s, PyObject *list, int count)
{
    double *all = blank(s, count, sizeof(double));
    for (int k = 0; k < count && is_list_of(list, count) && !PyErr_Occurred(); k++)
        all[k] = PyFloat_AsDouble(PyList_GetItem(list, k));
    return all;
}

static void
read_tries(Search *s, Stock *stock, PyObject *tries)
{
    stock->tries = blank(s, stock->tried, sizeof(Try));
    for (int k = 0; k < stock->tried; k++) {
        Py_ssize_t order;
        if (!read_try(PyTuple_GetItem(tries, k), KINDS, &order, &stock->tries[k].rules))
            return;
        stock->tries[k].order = (int)order;
    }
}

/* Prices: (from, price, set-up, minimum, flatness). */
static void
read_table(Search *s, PyObject *prices, Table *table, num least)
{
    PyObject *from, *price;
    long long set_up, minimum, flatness;
    if (!PyArg_ParseTuple(prices, "O!O!LLL", &PyList_Type, &from, &PyList_Type, &price, &set_up, &minimum, &flatness))
        return;
    *table = (Table){.set_up = set_up, .minimum = minimum, .flatness = flatness};
    int steps = (int)PyList_Size(from);
    if (steps < 1 || minimum < least) {
        PyErr_SetString(PyExc_ValueError, "there is no price, or it holds for none");
        return;
    }
    table->from = read_list(s, from, steps, 0);
    table->price = read_list(s, price, steps, 0);
    table->steps = steps;
}

/* A roll: (prices by length, step, most steps, ends). */
static void
read_roll(Search *s, PyObject *one, Roll *roll)
{
    PyObject *prices;
    long long step, most, ends;
    if (!PyArg_ParseTuple(one, "O!LLL", &PyTuple_Type, &prices, &step, &most, &ends))
        return;
    read_table(s, prices, &roll->by_length, 0);
    if (!PyErr_Occurred() && (step < 1 || most < 1 || most > INT32_MAX - 1))
        PyErr_SetString(PyExc_ValueError, "there is no such roll");
    if (PyErr_Occurred())
        return;
    roll->pieces = blank(s, (int)most + 1, sizeof(Table));
    roll->most = most;
    roll->step = step;
    roll->ends = ends;
}

/* A stock: (medium, prices, roll or None, width, height, ways, areas, weights, usable, ranks, tries, few tries). */
static void
read_stock(Search *s, PyObject *one, Stock *stock)
{
    PyObject *prices, *roll, *ways, *areas, *weights, *usable, *ranks, *tries;
    long long width, height;
    if (!is_tuple_of(one, 12) ||
        !PyArg_ParseTuple(one, "iO!OLLO!O!O!O!O!O!i", &stock->medium, &PyTuple_Type, &prices, &roll, &width, &height,
                          &PyList_Type, &ways, &PyList_Type, &areas, &PyList_Type, &weights, &PyList_Type, &usable,
                          &PyTuple_Type, &ranks, &PyTuple_Type, &tries, &stock->few_tries) ||
        !is_tuple_of(ranks, KINDS))
        return;
    stock->whole = (Room){0, 0, width, height};
    stock->room = width * height;
    stock->tried = (int)PyTuple_Size(tries);
    if (stock->medium < 0 || stock->medium >= s->media || width < 1 || height < 1 || width > MOST || height > MOST || stock->tried < 1 ||
        stock->few_tries < 0 || stock->few_tries > stock->tried) {
        PyErr_SetString(PyExc_ValueError, "there is no such sheet");
        return;
    }
    read_table(s, prices, &stock->table, 1);
    if (roll != Py_None && !PyErr_Occurred())
        read_roll(s, roll, &stock->roll);
    stock->areas = read_list(s, areas, s->prints, 1);
    stock->weights = read_doubles(s, weights, s->prints);
    stock->usable = read_flags(s, usable, s->prints);
    for (int k = 0; k < KINDS; k++)
        stock->ranks[k] = read_ints(s, PyTuple_GetItem(ranks, k), s->prints);
    stock->ways = blank(s, s->prints, sizeof(Ways));
    stock->sides = blank(s, s->prints, sizeof(num));
    for (int i = 0; i < s->prints && !PyErr_Occurred() && is_list_of(ways, s->prints); i++) {
        Ways *own = &stock->ways[i];
        if (!read_own_ways(PyList_GetItem(ways, i), own))
            return;
        stock->sides[i] = own->w[0] < own->h[0] ? own->w[0] : own->h[0];
        if (!i || stock->sides[i] < stock->least)
            stock->least = stock->sides[i];
        int fits = 0;
        for (int k = 0; k < own->count; k++)
            fits += own->w[k] <= width && own->h[k] <= height && own->w[k] * own->h[k] == stock->areas[i];
        if (stock->usable[i] && !PyErr_Occurred() && (!fits || !(stock->weights[i] <= 1 + 1e-9)))
            PyErr_SetString(PyExc_ValueError, "a print that is usable does not fit");
    }
    const Roll *pieces = &stock->roll;
    if (!PyErr_Occurred() && pieces->step &&
        (pieces->ends <= -stock->least || height + pieces->ends > pieces->step * pieces->most))
        PyErr_SetString(PyExc_ValueError, "the longest piece is no piece");
    if (!PyErr_Occurred())
        read_tries(s, stock, tries);
}

static void
read_board(Search *s, PyObject *args)
{
    PyObject *need, *company, *worth, *choosy, *least_extra, *extra, *order_charge, *stocks;
    unsigned long long seed;
    Py_ssize_t memory;
    if (!PyArg_ParseTuple(args, "piO!O!O!O!O!O!O!O!nK", &s->carving, &s->most, &PyList_Type, &need, &PyList_Type, &company,
                          &PyList_Type, &worth, &PyList_Type, &choosy, &PyList_Type, &least_extra, &PyList_Type, &extra,
                          &PyList_Type, &order_charge, &PyList_Type, &stocks, &memory, &seed))
        return;
    s->chance = seed;
    s->memory = memory;
    s->shut = -1;
    s->prints = (int)PyList_Size(need);
    s->media = (int)PyList_Size(order_charge);
    if (s->prints < 1 || s->media < 1 || memory < 0 || PyList_Size(stocks) < 1) {
        PyErr_SetString(PyExc_ValueError, "there is nothing to search");
        return;
    }
    s->need = read_list(s, need, s->prints, 1);
    s->company = read_ints(s, company, s->prints);
    s->worth = read_doubles(s, worth, s->prints);
    s->choosy = read_flags(s, choosy, s->prints);
    s->least_extra = read_list(s, least_extra, s->prints, INT64_MIN);
    s->extra = read_list(s, extra, s->prints * s->media, INT64_MIN);
    s->order_charge = read_list(s, order_charge, s->media, 0);
    s->rest = blank(s, s->prints, sizeof(num));
    s->missing = blank(s, s->prints, sizeof(int));
    s->wishes = blank(s, s->prints + 1, sizeof(Wish));
    s->plan.cover = blank(s, s->prints, sizeof(num));
    s->plan.medium = blank(s, s->prints, sizeof(int));
    s->plan.lacking = blank(s, s->prints, 1);
    s->plan.holders = blank(s, s->prints, sizeof(Numbers));
    s->plan.runs_of_medium = blank(s, s->media, sizeof(int));
    memset(s->plan.medium, -1, (size_t)s->prints * sizeof(int));
    memset(s->plan.lacking, 1, (size_t)s->prints);
    s->plan.lacks = s->prints;
    if (!reserve(&s->rooms, 8) || !reserve(&s->left, 8))
        longjmp(s->out_of_memory, 1);
    if (PyErr_Occurred())
        return;
    int count = (int)PyList_Size(stocks);
    s->stocks = blank(s, count, sizeof(Stock));
    s->count = count;
    for (int k = 0; k < count && is_list_of(stocks, count) && !PyErr_Occurred(); k++)
        read_stock(s, PyList_GetItem(stocks, k), &s->stocks[k]);
    for (int i = 0; i < s->prints && !PyErr_Occurred(); i++) {
        int usable = 0;
        if (s->need[i] > MOST)
            PyErr_SetString(PyExc_ValueError, "so many copies are not made");
        for (int k = 0; k < s->count; k++)
            usable += s->stocks[k].usable[i];
        if (!usable)
            PyErr_SetString(PyExc_ValueError, "every print fits on some sheet");
    }
}

/* Opens a search on a board: (carving, most layouts or -1, copies, company, worth, whether it may choose a medium, least extra, extra by
 * print and medium, order charge by medium, stocks, prints remembered of each, seed).
 */
PyObject *
open_search(PyObject *self, PyObject *args)
{
    (void)self;
    Search *s = calloc(1, sizeof(Search));
    if (!s)
        return PyErr_NoMemory();
    if (setjmp(s->out_of_memory))
        PyErr_NoMemory();
    else
        read_board(s, args);
    PyObject *capsule = PyErr_Occurred() ? NULL : PyCapsule_New(s, SEARCH, drop_capsule);
    if (!capsule)
        drop(s);
    return capsule;
}

/* Reads where something lies on a sheet; 0 with an error set where that is not on it. */
static int
read_room(PyObject *one, const Stock *stock, Room *room)
{
    if (!read_numbers(one, (num *)room, 4))
        return 0;
    if (room->x >= 0 && room->y >= 0 && room->w > 0 && room->h > 0 && room->w <= stock->whole.w &&
        room->h <= stock->whole.h && room->x <= stock->whole.w - room->w && room->y <= stock->whole.h - room->h)
        return 1;
    PyErr_SetString(PyExc_ValueError, "nothing lies beside the sheet");
    return 0;
}

/* The packing of (spots, free rooms, room, spare), or NULL with an error set. */
static Packing *
read_packing(Search *s, const Stock *stock, PyObject *one)
{
    PyObject *spots, *rooms;
    long long room;
    double spare;
    if (!PyArg_ParseTuple(one, "O!O!Ld", &PyTuple_Type, &spots, &PyTuple_Type, &rooms, &room, &spare))
        return NULL;
    int count = (int)PyTuple_Size(spots), frees = (int)PyTuple_Size(rooms);
    room_for(s, count);
    for (int k = 0; k < count; k++) {
        PyObject *spot = PyTuple_GetItem(spots, k);
        if (!is_tuple_of(spot, 2) || !read_room(PyTuple_GetItem(spot, 0), stock, &s->places[k]))
            return NULL;
        Py_ssize_t i = PyLong_AsSsize_t(PyTuple_GetItem(spot, 1));
        if (PyErr_Occurred() || i < 0 || i >= s->prints) {
            PyErr_SetString(PyExc_ValueError, "there is no such print");
            return NULL;
        }
        s->draft[k] = (int)i;
    }
    s->rooms.count = 0;
    if (!reserve(&s->rooms, frees + 8))
        longjmp(s->out_of_memory, 1);
    for (; s->rooms.count < frees; s->rooms.count++)
        if (!read_room(PyTuple_GetItem(rooms, s->rooms.count), stock, &s->rooms.at[s->rooms.count]))
            return NULL;
    if (count)
        return new_packing(s, s->draft, count, s->places, &s->rooms, room, spare, 1);
    PyErr_SetString(PyExc_ValueError, "a layout holds a print");
    return NULL;
}

/* Makes these runs the plan. */
static void
read_runs(Search *s, PyObject *runs)
{
    clear_plan(s);
    for (Py_ssize_t k = 0; k < PyTuple_Size(runs); k++) {
        PyObject *packing;
        Run run = {0};
        long long quantity, cost;
        if (!is_tuple_of(PyTuple_GetItem(runs, k), 5) ||
            !PyArg_ParseTuple(PyTuple_GetItem(runs, k), "iiO!LL", &run.stock, &run.steps, &PyTuple_Type, &packing,
                              &quantity, &cost))
            return;
        run.quantity = quantity;
        run.cost = cost;
        if (run.stock < 0 || run.stock >= s->count || quantity < 1 || quantity > MOST || (run.steps > 0) != !!s->stocks[run.stock].roll.step ||
            run.steps < 0 || run.steps > s->stocks[run.stock].roll.most)
            PyErr_SetString(PyExc_ValueError, "there is no such run");
        else
            run.packing = read_packing(s, &s->stocks[run.stock], packing);
        if (!run.packing)
            return;
        add_run(s, run);
    }
    if (s->plan.lacks)
        PyErr_SetString(PyExc_ValueError, "a plan covers all prints");
}

/* --- to Python ----------------------------------------------------------------------------------------- */

/* (spots, free rooms, room, spare), or NULL on error. */
static PyObject *
packing_as_tuple(const Packing *one)
{
    PyObject *spots = PyTuple_New(one->count), *rooms = PyTuple_New(one->frees);
    int good = spots && rooms;
    for (int k = 0; good && k < one->count; k++) {
        Room place = one->places[k];
        PyObject *spot = Py_BuildValue("((LLLL)i)", (long long)place.x, (long long)place.y, (long long)place.w,
                                       (long long)place.h, one->laid[k]);
        good = spot && PyTuple_SetItem(spots, k, spot) == 0;
    }
    for (int k = 0; good && k < one->frees; k++) {
        PyObject *room = room_as_tuple(one->free[k]);
        good = room && PyTuple_SetItem(rooms, k, room) == 0;
    }
    PyObject *all = good ? Py_BuildValue("(OOLd)", spots, rooms, (long long)one->room, one->spare) : NULL;
    Py_XDECREF(spots);
    Py_XDECREF(rooms);
    return all;
}

/* A tuple of runs: (stock, steps, packing, quantity, cost), or NULL on error. */
static PyObject *
runs_as_tuple(const Run *runs, int count)
{
    PyObject *all = PyTuple_New(count);
    for (int k = 0; all && k < count; k++) {
        PyObject *packing = packing_as_tuple(runs[k].packing);
        PyObject *run = packing ? Py_BuildValue("(iiNLL)", runs[k].stock, runs[k].steps, packing,
                                                (long long)runs[k].quantity, (long long)runs[k].cost)
                                : NULL;
        if (!run || PyTuple_SetItem(all, k, run) < 0)
            Py_CLEAR(all);
    }
    return all;
}

/* --- what Python calls --------------------------------------------------------------------------------- */

/* The search, in use until it is let go; NULL with an error set where it is in use already. */
static Search *
taken(PyObject *capsule)
{
    Search *s = PyCapsule_GetPointer(capsule, SEARCH);
    if (s && s->busy) {
        PyErr_SetString(PyExc_ValueError, "the search is in use, or broke off");
        return NULL;
    }
    if (s)
        s->busy = 1;
    return s;
}

static PyObject *
let_go(Search *s, PyObject *answer)
{
    s->busy = 0;
    return answer;
}

/* The runs of the cheapest of so many plans made from nothing. */
PyObject *
first_runs(PyObject *self, PyObject *args)
{
    PyObject *capsule;
    int plans;
    (void)self;
    if (!PyArg_ParseTuple(args, "Oi", &capsule, &plans))
        return NULL;
    Search *s = taken(capsule);
    if (!s)
        return NULL;
    if (setjmp(s->out_of_memory))
        return PyErr_NoMemory();
    s->bests = 0;
    s->shut = -1;
    for (int k = 0; k < plans; k++) {
        clear_plan(s);
        complete(s);
        if (!s->bests || cost_of(s) < s->best_cost)
            keep_best(s);
    }
    return let_go(s, runs_as_tuple(s->best, s->bests));
}

/* The best runs found from others on, and the iterations done by then: (search, runs, bound, stop, iterations done,
 * begin, end, warmth).
 */
PyObject *
annealed(PyObject *self, PyObject *args)
{
    PyObject *capsule, *runs, *stop;
    long long bound, iterations;
    double begin, end, warm;
    (void)self;
    if (!PyArg_ParseTuple(args, "OO!LOLddd", &capsule, &PyTuple_Type, &runs, &bound, &stop, &iterations, &begin, &end,
                          &warm))
        return NULL;
    Search *s = taken(capsule);
    if (!s)
        return NULL;
    if (setjmp(s->out_of_memory))
        return PyErr_NoMemory();
    num done = iterations;
    read_runs(s, runs);
    if (PyErr_Occurred() || !anneal(s, bound, stop, &done, begin, end, warm))
        return let_go(s, NULL);
    return let_go(s, Py_BuildValue("(NL)", runs_as_tuple(s->best, s->bests), (long long)done));
}

static int
fuller(const void *one, const void *other)
{
    const Packing *a = *(Packing *const *)one, *b = *(Packing *const *)other;
    if (a->room != b->room)
        return a->room < b->room ? -1 : 1;
    for (int k = 0; k < a->count && k < b->count; k++)
        if (a->key[k] != b->key[k])
            return a->key[k] < b->key[k] ? -1 : 1;
    return a->count - b->count;
}

/* The packings remembered of a stock, the fullest first: (search, stock, how many at most). */
PyObject *
remembered(PyObject *self, PyObject *args)
{
    PyObject *capsule;
    int number, most, count = 0;
    (void)self;
    if (!PyArg_ParseTuple(args, "Oii", &capsule, &number, &most))
        return NULL;
    Search *s = taken(capsule);
    if (!s)
        return NULL;
    if (number < 0 || number >= s->count || most < 0) {
        PyErr_SetString(PyExc_ValueError, "there is no such sheet");
        return let_go(s, NULL);
    }
    const Stock *stock = &s->stocks[number];
    Packing **found = malloc((stock->known + 1) * sizeof(Packing *));
    if (!found)
        return let_go(s, PyErr_NoMemory());
    for (size_t k = 0; k < stock->size; k++)
        if (stock->memory[k] && stock->memory[k]->found)
            found[count++] = stock->memory[k];
    qsort(found, (size_t)count, sizeof(Packing *), fuller);
    count = count < most ? count : most;
    PyObject *all = PyList_New(count);
    for (int k = 0; all && k < count; k++) {
        PyObject *packing = packing_as_tuple(found[k]);
        if (!packing || PyList_SetItem(all, k, packing) < 0)
            Py_CLEAR(all);
    }
    free(found);
    return let_go(s, all);
}
