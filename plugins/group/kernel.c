/* The inner loops of grouping: laying prints on sheets (rooms.py, gaps.py), changing their places (swaps.py), what
 * a layout should hold (wishes.py), knapsacks (knapsack.py) and sheets cut apart (pieces.py). Those tell the same in Python
 * and say what it is for. Each function here takes what its namesake there takes and returns the same, to the last bit:
 * whole numbers of 64 bits, and sums of doubles in the same order.
 * Only what Python keeps stable is used (3.11 and later), so one build serves all later versions.
 */
#define PY_SSIZE_T_CLEAN
#include <Python.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

typedef int64_t num;

#define ROUNDING 1e-9

typedef struct {
    num x, y, w, h;
} Room;

/* Rooms that grow as needed. */
typedef struct {
    Room *at;
    Py_ssize_t count, size;
} Rooms;

/* A print may lie in one way or two; no print of the packer has more. */
typedef struct {
    num w[2], h[2];
    int count;
} Ways;

/* Makes room for `more` rooms; 0 with an error set where memory is out. */
static int
reserve(Rooms *rooms, Py_ssize_t more)
{
    if (rooms->count + more > rooms->size) {
        Py_ssize_t size = 2 * (rooms->count + more);
        Room *at = realloc(rooms->at, (size_t)size * sizeof(Room));
        if (!at) {
            PyErr_NoMemory();
            return 0;
        }
        rooms->at = at;
        rooms->size = size;
    }
    return 1;
}

static int
is_tuple_of(PyObject *tuple, Py_ssize_t size)
{
    if (PyTuple_Check(tuple) && PyTuple_Size(tuple) == size)
        return 1;
    PyErr_Format(PyExc_TypeError, "a tuple of %zd is wanted", size);
    return 0;
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

/* Reads a tuple of whole numbers; 0 with an error set where it is none. */
static int
read_numbers(PyObject *tuple, num *into, Py_ssize_t count)
{
    if (!is_tuple_of(tuple, count))
        return 0;
    for (Py_ssize_t k = 0; k < count; k++) {
        into[k] = PyLong_AsLongLong(PyTuple_GetItem(tuple, k));
        if (into[k] == -1 && PyErr_Occurred())
            return 0;
    }
    return 1;
}

static int
read_rooms(PyObject *list, Rooms *rooms)
{
    Py_ssize_t count = PyList_Size(list);
    if (count < 0 || !reserve(rooms, count + 8))
        return 0;
    for (; rooms->count < count; rooms->count++)
        if (!read_numbers(PyList_GetItem(list, rooms->count), (num *)&rooms->at[rooms->count], 4))
            return 0;
    return 1;
}

static int
read_own_ways(PyObject *own, Ways *ways)
{
    Py_ssize_t count = PyTuple_Check(own) ? PyTuple_Size(own) : 0;
    if (count < 1 || count > 2) {
        PyErr_SetString(PyExc_TypeError, "a print lies in one way or two");
        return 0;
    }
    ways->count = (int)count;
    for (int k = 0; k < ways->count; k++) {
        num way[2];
        if (!read_numbers(PyTuple_GetItem(own, k), way, 2))
            return 0;
        ways->w[k] = way[0];
        ways->h[k] = way[1];
    }
    return 1;
}

static int
read_ways(PyObject *all, PyObject *index, Ways *ways)
{
    Py_ssize_t i = PyLong_AsSsize_t(index);
    PyObject *own = i == -1 && PyErr_Occurred() ? NULL : PyList_GetItem(all, i);
    return own && read_own_ways(own, ways);
}

static PyObject *
room_as_tuple(Room room)
{
    return Py_BuildValue("(LLLL)", (long long)room.x, (long long)room.y, (long long)room.w, (long long)room.h);
}

/* Writes the rooms into the list in place of what it holds. */
static int
write_rooms(PyObject *list, const Rooms *rooms)
{
    PyObject *all = PyList_New(rooms->count);
    for (Py_ssize_t k = 0; all && k < rooms->count; k++) {
        PyObject *room = room_as_tuple(rooms->at[k]);
        if (!room || PyList_SetItem(all, k, room) < 0)
            Py_CLEAR(all);
    }
    int done = all && PyList_SetSlice(list, 0, PyList_Size(list), all) == 0;
    Py_XDECREF(all);
    return done;
}

/* Which room suits a print best (-1: none), and the way of lying there. */
static Py_ssize_t
choose(const Rooms *rooms, const Ways *ways, int choice, int *way)
{
    Py_ssize_t slot = -1;
    num lowest = 0;
    for (Py_ssize_t k = 0; k < rooms->count; k++) {
        num w = rooms->at[k].w, h = rooms->at[k].h;
        for (int turn = 0; turn < ways->count; turn++) {
            num pw = ways->w[turn], ph = ways->h[turn], score;
            if (pw > w || ph > h)
                continue;
            if (choice == 1)
                score = w * h;
            else {
                num above = h - ph;
                score = w - pw;
                if ((above < score) == (choice == 0))
                    score = above;
            }
            if (score < lowest || slot < 0) {
                lowest = score;
                slot = k;
                *way = turn;
            }
        }
    }
    return slot;
}

typedef struct {
    int choice, split;
    num least, useful, slack;
} Rules;

/* Parts room `slot` by straight cuts around a print in its corner; 0 where too much is lost, -1 on error. */
static int
part_room(Rooms *rooms, Py_ssize_t slot, num pw, num ph, Rules *rules)
{
    Room room = rooms->at[slot];
    memmove(rooms->at + slot, rooms->at + slot + 1, (size_t)(--rooms->count - slot) * sizeof(Room));
    num beside = room.w - pw, above = room.h - ph;
    if (!beside && !above)
        return 1;
    int first_across;
    if (rules->split < 2) {
        num across = room.w * above > beside * ph ? room.w * above : beside * ph;
        num upright = beside * room.h > pw * above ? beside * room.h : pw * above;
        first_across = (across >= upright) == (rules->split == 0);
    }
    else
        first_across = room.w < room.h;
    num tall = first_across ? ph : room.h, wide = first_across ? room.w : pw;
    if (!reserve(rooms, 2))
        return -1;
    if (beside >= rules->least)
        rooms->at[rooms->count++] = (Room){room.x + pw, room.y, beside, tall};
    if (above >= rules->least)
        rooms->at[rooms->count++] = (Room){room.x, room.y + ph, wide, above};
    if (beside < rules->useful)
        rules->slack -= beside * tall;
    if (above < rules->useful)
        rules->slack -= wide * above;
    return rules->slack >= 0;
}

/* The largest comes first. */
static int
comes_before(const Room *a, const Room *b)
{
    num by_area = b->w * b->h - a->w * a->h;
    if (!by_area)
        by_area = a->x != b->x ? a->x - b->x : a->y != b->y ? a->y - b->y : a->w != b->w ? a->w - b->w : a->h - b->h;
    return by_area < 0;
}

/* Carves the print at the corner of room `slot` out of every room; `spare` is for work. -1 on error. */
static int
carve(Rooms *rooms, Py_ssize_t slot, num pw, num ph, num least, Rooms *spare)
{
    num px = rooms->at[slot].x, py = rooms->at[slot].y, right = px + pw, top = py + ph;
    Py_ssize_t kept = 0;
    spare->count = 0;
    if (!reserve(spare, 4 * rooms->count))
        return -1;
    for (Py_ssize_t k = 0; k < rooms->count; k++) {
        Room r = rooms->at[k];
        num far = r.x + r.w, high = r.y + r.h;
        if (px >= far || right <= r.x || py >= high || top <= r.y) {
            rooms->at[kept++] = r;
            continue;
        }
        if (px - r.x >= least)
            spare->at[spare->count++] = (Room){r.x, r.y, px - r.x, r.h};
        if (far - right >= least)
            spare->at[spare->count++] = (Room){right, r.y, far - right, r.h};
        if (py - r.y >= least)
            spare->at[spare->count++] = (Room){r.x, r.y, r.w, py - r.y};
        if (high - top >= least)
            spare->at[spare->count++] = (Room){r.x, top, r.w, high - top};
    }
    rooms->count = kept;
    if (!reserve(rooms, spare->count))
        return -1;
    for (Py_ssize_t k = 1; k < spare->count; k++) {
        Room r = spare->at[k];
        Py_ssize_t n = k;
        for (; n > 0 && comes_before(&r, &spare->at[n - 1]); n--)
            spare->at[n] = spare->at[n - 1];
        spare->at[n] = r;
    }
    for (Py_ssize_t k = 0; k < spare->count; k++) {
        Room r = spare->at[k];
        int within = 0;
        for (Py_ssize_t n = 0; n < rooms->count && !within; n++) {
            Room o = rooms->at[n];
            within = o.x <= r.x && o.y <= r.y && o.x + o.w >= r.x + r.w && o.y + o.h >= r.y + r.h;
        }
        if (!within)
            rooms->at[rooms->count++] = r;
    }
    return 1;
}

/* Puts a print into the room that suits it best, and says where it lies; 1, or 0 where none does or too much is
 * lost, or -1 on error. */
static int
put(Rooms *rooms, const Ways *ways, Rules *rules, Rooms *spare, Room *place)
{
    int way = 0;
    Py_ssize_t slot = choose(rooms, ways, rules->choice, &way);
    if (slot < 0)
        return 0;
    num pw = ways->w[way], ph = ways->h[way];
    *place = (Room){rooms->at[slot].x, rooms->at[slot].y, pw, ph};
    return spare ? carve(rooms, slot, pw, ph, rules->least, spare) : part_room(rooms, slot, pw, ph, rules);
}

/* A queue of prints to lay: which, and how each may lie. */
typedef struct {
    Py_ssize_t count;
    PyObject **index;
    Ways *ways;
    Room *place;
} Queue;

static void
drop_queue(Queue *queue)
{
    free(queue->index);
    free(queue->ways);
    free(queue->place);
    *queue = (Queue){0};
}

static int
read_queue(PyObject *list, PyObject *all_ways, Queue *queue)
{
    Py_ssize_t count = PyList_Size(list);
    if (count < 0)
        return 0;
    *queue = (Queue){count, malloc((size_t)(count + 1) * sizeof(PyObject *)), malloc((size_t)(count + 1) * sizeof(Ways)),
                     malloc((size_t)(count + 1) * sizeof(Room))};
    if (!queue->index || !queue->ways || !queue->place) {
        PyErr_NoMemory();
        return 0;
    }
    for (Py_ssize_t k = 0; k < count; k++) {
        queue->index[k] = PyList_GetItem(list, k);
        if (!read_ways(all_ways, queue->index[k], &queue->ways[k]))
            return 0;
    }
    return 1;
}

static PyObject *
spot_as_tuple(Room place, PyObject *index)
{
    PyObject *room = room_as_tuple(place), *spot = room ? PyTuple_Pack(2, room, index) : NULL;
    Py_XDECREF(room);
    return spot;
}

/* Returns (spots, free rooms) of a queue that was laid. */
static PyObject *
laid_as_tuple(const Queue *queue, const Rooms *rooms)
{
    PyObject *spots = PyList_New(queue->count), *rest = PyList_New(rooms->count);
    int good = spots && rest;
    for (Py_ssize_t k = 0; good && k < queue->count; k++) {
        PyObject *spot = spot_as_tuple(queue->place[k], queue->index[k]);
        good = spot && PyList_SetItem(spots, k, spot) == 0;
    }
    for (Py_ssize_t k = 0; good && k < rooms->count; k++) {
        PyObject *room = room_as_tuple(rooms->at[k]);
        good = room && PyList_SetItem(rest, k, room) == 0;
    }
    PyObject *both = good ? PyTuple_Pack(2, spots, rest) : NULL;
    Py_XDECREF(spots);
    Py_XDECREF(rest);
    return both;
}

/* Reads in which of so many queues to lay, and by which rules; 0 with an error set where there are none. */
static int
read_try(PyObject *one, Py_ssize_t kinds, Py_ssize_t *order, Rules *rules)
{
    num rule[2];
    if (!is_tuple_of(one, 2) || !read_numbers(PyTuple_GetItem(one, 1), rule, 2))
        return 0;
    *order = PyLong_AsSsize_t(PyTuple_GetItem(one, 0));
    if (*order < 0 || *order >= kinds) {
        PyErr_SetString(PyExc_ValueError, "there is no such queue");
        return 0;
    }
    rules->choice = (int)rule[0];
    rules->split = (int)rule[1];
    return 1;
}

/* Lays everything by one try after the other; the first that succeeds, or None, or NULL on error. */
static PyObject *
try_all(Queue *queues, Py_ssize_t kinds, Room whole, PyObject *tries, const Rules *limits, Rooms *rooms, Rooms *spare)
{
    Py_ssize_t count = PyTuple_Size(tries);
    if (count < 0 || !reserve(rooms, 8))
        return NULL;
    for (Py_ssize_t k = 0; k < count; k++) {
        Rules rules = *limits;
        Py_ssize_t order;
        if (!read_try(PyTuple_GetItem(tries, k), kinds, &order, &rules))
            return NULL;
        rooms->at[0] = whole;
        rooms->count = 1;
        int laid = 1;
        for (Py_ssize_t n = 0; laid > 0 && n < queues[order].count; n++)
            laid = put(rooms, &queues[order].ways[n], &rules, spare, &queues[order].place[n]);
        if (laid)
            return laid < 0 ? NULL : laid_as_tuple(&queues[order], rooms);
    }
    Py_RETURN_NONE;
}

#define KINDS 3

static PyObject *
lay_anew(PyObject *self, PyObject *args)
{
    int carving;
    long long width, height, least, useful, slack;
    PyObject *lists, *ways, *tries, *result = NULL;
    (void)self;
    if (!PyArg_ParseTuple(args, "p(LL)O!O!O!(LLL)", &carving, &width, &height, &PyTuple_Type, &lists, &PyList_Type,
                          &ways, &PyTuple_Type, &tries, &least, &useful, &slack))
        return NULL;
    Py_ssize_t kinds = PyTuple_Size(lists);
    if (kinds > KINDS) {
        PyErr_SetString(PyExc_ValueError, "too many queues");
        return NULL;
    }
    Queue queues[KINDS] = {{0}};
    int good = 1;
    for (Py_ssize_t k = 0; good && k < kinds; k++)
        good = read_queue(PyTuple_GetItem(lists, k), ways, &queues[k]);
    Rooms rooms = {0}, spare = {0};
    Rules limits = {0, 0, least, useful, slack};
    if (good)
        result = try_all(queues, kinds, (Room){0, 0, width, height}, tries, &limits, &rooms, carving ? &spare : NULL);
    for (Py_ssize_t k = 0; k < kinds; k++)
        drop_queue(&queues[k]);
    free(rooms.at);
    free(spare.at);
    return result;
}

/* What is left of a sheet, and where the prints wanted are. */
typedef struct {
    num room;
    double spare;
    Py_ssize_t at;
    int patient;
} State;

/* Lays what there is room for; the spots, or NULL on error. */
static PyObject *
fill_up(Rooms *rooms, PyObject *wanted, PyObject *all_ways, PyObject *areas, PyObject *weights, State *state,
        Rules *rules, Rooms *spare)
{
    PyObject *spots = PyList_New(0);
    Py_ssize_t count = PyList_Size(wanted), missed = -1;
    int good = spots && count >= 0;
    for (; good > 0 && state->at < count; state->at++) {
        PyObject *index = PyList_GetItem(wanted, state->at);
        Py_ssize_t i = PyLong_AsSsize_t(index);
        PyObject *size = PyList_GetItem(areas, i), *load = size ? PyList_GetItem(weights, i) : NULL;
        num area = load ? PyLong_AsLongLong(size) : -1;
        double weight = load ? PyFloat_AsDouble(load) : -1;
        Ways ways;
        if (PyErr_Occurred())
            good = -1;
        else if (i == missed || area > state->room || state->spare - weight < -ROUNDING)
            continue;
        else if (!read_ways(all_ways, index, &ways))
            good = -1;
        else {
            Room place;
            int laid = put(rooms, &ways, rules, spare, &place);
            if (laid > 0) {
                PyObject *spot = spot_as_tuple(place, index);
                good = spot && PyList_Append(spots, spot) == 0 ? 1 : -1;
                Py_XDECREF(spot);
                state->room -= area;
                state->spare -= weight;
            }
            else if (laid < 0)
                good = -1;
            else if (state->patient)
                missed = i;
            else
                break;
        }
    }
    if (good <= 0)
        Py_CLEAR(spots);
    return spots;
}

static PyObject *
fill_rooms(PyObject *self, PyObject *args)
{
    PyObject *free_rooms, *wanted, *ways, *areas, *weights;
    int carving;
    long long room, least;
    State state;
    (void)self;
    if (!PyArg_ParseTuple(args, "pO!OnOO!O!(Ld)Lp", &carving, &PyList_Type, &free_rooms, &wanted, &state.at, &ways,
                          &PyList_Type, &areas, &PyList_Type, &weights, &room, &state.spare, &least, &state.patient))
        return NULL;
    state.room = room;
    Rules rules = {0, 0, least, 0, 0};
    Rooms rooms = {0}, spare = {0};
    PyObject *spots = NULL;
    if (read_rooms(free_rooms, &rooms))
        spots = fill_up(&rooms, wanted, ways, areas, weights, &state, &rules, carving ? &spare : NULL);
    if (spots && !write_rooms(free_rooms, &rooms))
        Py_CLEAR(spots);
    free(rooms.at);
    free(spare.at);
    return spots ? Py_BuildValue("(Nn(Ld))", spots, state.at, (long long)state.room, state.spare) : NULL;
}

/* The next number of a generator that is simple enough to be the same everywhere; see wishes.py. */
static double
next_random(uint64_t *state)
{
    uint64_t z = *state += 0x9E3779B97F4A7C15u;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

typedef struct {
    double appeal;
    long long index, copies;
} Wish;

static int
less_appealing(const void *one, const void *other)
{
    const Wish *a = one, *b = other;
    if (a->appeal != b->appeal)
        return a->appeal < b->appeal ? 1 : -1;
    return a->index < b->index ? 1 : a->index > b->index ? -1 : 0;
}

/* Reads what is known of print `index`; 0 with an error set where something is missing. */
static int
read_wish(PyObject *index, PyObject *rest, PyObject *worths, PyObject *areas, num *missing, double *worth, num *area)
{
    Py_ssize_t i = PyLong_AsSsize_t(index);
    PyObject *left = PyDict_GetItemWithError(rest, index), *own = left ? PyList_GetItem(worths, i) : NULL,
             *size = own ? PyList_GetItem(areas, i) : NULL;
    if (!size) {
        if (!PyErr_Occurred())
            PyErr_SetObject(PyExc_KeyError, index);
        return 0;
    }
    *missing = PyLong_AsLongLong(left);
    *worth = PyFloat_AsDouble(own);
    *area = PyLong_AsLongLong(size);
    return !PyErr_Occurred();
}

static int
add_wish(PyObject *wanted, const Wish *wish)
{
    PyObject *index = PyLong_FromLongLong(wish->index);
    int good = index != NULL;
    for (long long k = 0; good && k < wish->copies; k++)
        good = PyList_Append(wanted, index) == 0;
    Py_XDECREF(index);
    return good;
}

static PyObject *
list_wishes(PyObject *self, PyObject *args)
{
    PyObject *first, *crowd, *rest, *worths, *areas;
    long long quantity, whole;
    int by_size;
    double noise;
    unsigned long long seed;
    (void)self;
    if (!PyArg_ParseTuple(args, "OO!LO!O!O!LpdK", &first, &PyList_Type, &crowd, &quantity, &PyDict_Type, &rest,
                          &PyList_Type, &worths, &PyList_Type, &areas, &whole, &by_size, &noise, &seed))
        return NULL;
    uint64_t state = seed;
    Py_ssize_t count = PyList_Size(crowd), listed = 1;
    Wish *wishes = malloc((size_t)(count + 1) * sizeof(Wish));
    PyObject *wanted = wishes ? PyList_New(0) : PyErr_NoMemory();
    int good = wanted != NULL;
    for (Py_ssize_t k = -1; good && k < count; k++) {
        PyObject *index = k < 0 ? first : PyList_GetItem(crowd, k);
        num missing, area;
        double worth;
        Wish wish = {0, PyLong_AsLongLong(index), 0};
        if (k >= 0 && wish.index == wishes[0].index)
            continue;
        if (!(good = read_wish(index, rest, worths, areas, &missing, &worth, &area)))
            break;
        num full = missing / quantity, part = missing % quantity;
        wish.copies = full + (part > 0) < whole / area ? full + (part > 0) : whole / area;
        if (k < 0) {
            wishes[0] = wish;
            continue;
        }
        wish.appeal = worth * (1 + noise * next_random(&state));
        if (!by_size)
            wish.appeal /= (double)area;
        if (part && full < 4)
            wish.appeal *= (double)missing / (double)(quantity * (full + 1));
        wishes[listed++] = wish;
    }
    if (good)
        qsort(wishes + 1, (size_t)(listed - 1), sizeof(Wish), less_appealing);
    for (Py_ssize_t k = 0; good && k < listed; k++)
        good = add_wish(wanted, &wishes[k]);
    free(wishes);
    if (!good)
        Py_CLEAR(wanted);
    return wanted;
}

static PyObject *
worth_of(PyObject *self, PyObject *args)
{
    PyObject *counts, *rest, *worths;
    long long quantity;
    double sum = 0.0;
    (void)self;
    if (!PyArg_ParseTuple(args, "O!LO!O!", &PyTuple_Type, &counts, &quantity, &PyDict_Type, &rest, &PyList_Type, &worths))
        return NULL;
    for (Py_ssize_t k = 0; k < PyTuple_Size(counts); k++) {
        PyObject *pair = PyTuple_GetItem(counts, k);
        if (!is_tuple_of(pair, 2))
            return NULL;
        PyObject *index = PyTuple_GetItem(pair, 0), *left = PyDict_GetItemWithError(rest, index);
        if (left) {
            num copies = PyLong_AsLongLong(PyTuple_GetItem(pair, 1)) * quantity, missing = PyLong_AsLongLong(left);
            PyObject *worth = PyList_GetItem(worths, PyLong_AsSsize_t(index));
            if (!worth)
                return NULL;
            sum += PyFloat_AsDouble(worth) * (double)(copies < missing ? copies : missing);
        }
        if (PyErr_Occurred())
            return NULL;
    }
    return PyFloat_FromDouble(sum);
}

/* Fills `best` and `taken` row by row, and lists the prints taken. */
static PyObject *
fill(PyObject *items, Py_ssize_t count, Py_ssize_t room, double *best, char *taken)
{
    memset(best, 0, (size_t)(room + 1) * sizeof(double));
    for (Py_ssize_t row = 0; row < count; row++) {
        PyObject *item = PyList_GetItem(items, row);
        if (!is_tuple_of(item, 3))
            return NULL;
        Py_ssize_t cells = PyLong_AsSsize_t(PyTuple_GetItem(item, 1));
        double worth = PyFloat_AsDouble(PyTuple_GetItem(item, 2));
        if (PyErr_Occurred())
            return NULL;
        char *here = taken + row * (room + 1);
        memset(here, cells == 0, (size_t)(room + 1));
        for (Py_ssize_t at = room; at >= cells; at--) {
            double with_it = best[at - cells] + worth;
            if (cells == 0 || with_it > best[at]) {
                best[at] = with_it;
                here[at] = 1;
            }
        }
    }
    PyObject *chosen = PyList_New(0);
    for (Py_ssize_t row = count - 1, at = room; chosen && row >= 0; row--)
        if (taken[row * (room + 1) + at]) {
            PyObject *item = PyList_GetItem(items, row);
            if (PyList_Append(chosen, PyTuple_GetItem(item, 0)) < 0)
                Py_CLEAR(chosen);
            at -= PyLong_AsSsize_t(PyTuple_GetItem(item, 1));
        }
    return chosen ? Py_BuildValue("(dN)", best[room], chosen) : NULL;
}

static PyObject *
knapsack(PyObject *self, PyObject *args)
{
    PyObject *items;
    Py_ssize_t room;
    (void)self;
    if (!PyArg_ParseTuple(args, "On", &items, &room))
        return NULL;
    Py_ssize_t count = PyList_Size(items);
    if (count < 0)
        return NULL;
    if (room < 0) {
        PyErr_SetString(PyExc_ValueError, "there is no room below 0");
        return NULL;
    }
    double *best = malloc((size_t)(room + 1) * sizeof(double));
    char *taken = malloc((size_t)(count * (room + 1) + 1));
    PyObject *result = best && taken ? fill(items, count, room, best, taken) : PyErr_NoMemory();
    free(best);
    free(taken);
    return result;
}

/* Worths of pieces by width, wish and height. */
typedef struct {
    int32_t *at;
    Py_ssize_t wide, wishes, high;
} Pieces;

/* Gets an array of 32-bit numbers in C order; 0 with an error set where it is none. */
static int
get_pieces(PyObject *array, Py_buffer *buffer, Pieces *pieces)
{
    if (PyObject_GetBuffer(array, buffer, PyBUF_C_CONTIGUOUS | PyBUF_WRITABLE) < 0)
        return 0;
    if (buffer->ndim != 3 || buffer->itemsize != sizeof(int32_t)) {
        PyErr_SetString(PyExc_TypeError, "an array of 32-bit numbers by width, wish and height is wanted");
        PyBuffer_Release(buffer);
        return 0;
    }
    *pieces = (Pieces){buffer->buf, buffer->shape[0], buffer->shape[1], buffer->shape[2]};
    return 1;
}

/* Cuts across the width; returns whether any piece became worth more. */
static int
cut_wide(Pieces table, Pieces beside, int same)
{
    Py_ssize_t row = table.wishes * table.high;
    int raised = 0;
    for (Py_ssize_t size = 2; size < table.wide; size++) {
        int32_t *whole = table.at + size * row;
        for (Py_ssize_t part = 1; part <= (same ? size / 2 : size - 1); part++) {
            const int32_t *one = beside.at + part * row, *other = table.at + (size - part) * row;
            int32_t more = 0;
            for (Py_ssize_t k = 0; k < row; k++) {
                int32_t worth = one[k] + other[k], now = whole[k];
                more |= worth > now;
                whole[k] = worth > now ? worth : now;
            }
            raised |= more;
        }
    }
    return raised;
}

static int
cut_high(Pieces table, Pieces beside, int same)
{
    int raised = 0;
    for (Py_ssize_t line = 0; line < table.wide * table.wishes; line++) {
        int32_t *whole = table.at + line * table.high, *part = beside.at + line * table.high;
        for (Py_ssize_t size = 2; size < table.high; size++) {
            int32_t best = whole[size];
            for (Py_ssize_t k = 1; k <= (same ? size / 2 : size - 1); k++) {
                int32_t worth = part[k] + whole[size - k];
                best = worth > best ? worth : best;
            }
            raised |= best > whole[size];
            whole[size] = best;
        }
    }
    return raised;
}

static PyObject *
cut_apart(PyObject *self, PyObject *args)
{
    PyObject *array, *second;
    Py_buffer buffer, other;
    Pieces table, beside;
    (void)self;
    if (!PyArg_ParseTuple(args, "OO", &array, &second) || !get_pieces(array, &buffer, &table))
        return NULL;
    int same = second == Py_None, good = 1;
    if (same)
        beside = table;
    else if ((good = get_pieces(second, &other, &beside))) {
        good = beside.wide == table.wide && beside.wishes == table.wishes && beside.high == table.high;
        if (!good) {
            PyErr_SetString(PyExc_ValueError, "arrays of one shape are wanted");
            PyBuffer_Release(&other);
        }
    }
    if (good) {
        int wide = 1, high = 1;
        while (wide || high) {
            wide = cut_wide(table, beside, same);
            high = cut_high(table, beside, same);
        }
        if (!same)
            PyBuffer_Release(&other);
    }
    PyBuffer_Release(&buffer);
    return good ? Py_NewRef(Py_None) : NULL;
}

/* What lies on a sheet, seen from above. */
typedef struct {
    num x, y, w;
} Step;

typedef struct {
    Step *at, *spare;
    Py_ssize_t count;
} Steps;

static void
add_step(Steps *steps, Step step)
{
    Step *last = steps->count ? &steps->spare[steps->count - 1] : NULL;
    if (last && last->y == step.y)
        last->w += step.w;
    else if (step.w)
        steps->spare[steps->count++] = step;
}

/* Puts three steps in the place of one, and makes one of neighbours that are level. */
static void
replace_step(Steps *steps, Py_ssize_t low, const Step laid[3])
{
    Py_ssize_t count = steps->count;
    steps->count = 0;
    for (Py_ssize_t k = 0; k < low; k++)
        add_step(steps, steps->at[k]);
    for (int k = 0; k < 3; k++)
        add_step(steps, laid[k]);
    for (Py_ssize_t k = low + 1; k < count; k++)
        add_step(steps, steps->at[k]);
    Step *kept = steps->at;
    steps->at = steps->spare;
    steps->spare = kept;
}

/* Lays the prints of a queue (whose places have no width yet) into the lowest gap, one after the other. */
static void
fill_lowest(Queue *queue, num width, num height, Steps *steps)
{
    steps->at[0] = (Step){0, 0, width};
    steps->count = 1;
    for (;;) {
        Py_ssize_t low = 0, chosen = -1;
        for (Py_ssize_t k = 1; k < steps->count; k++)
            low = steps->at[k].y < steps->at[low].y ? k : low;
        Step gap = steps->at[low];
        if (gap.y >= height)
            return;
        num left = (low ? steps->at[low - 1].y : height) - gap.y;
        num right = (low + 1 < steps->count ? steps->at[low + 1].y : height) - gap.y;
        num least = left < right ? left : right, most = left < right ? right : left;
        int best = -1, way = 0;
        for (Py_ssize_t k = 0; k < queue->count; k++)
            for (int turn = 0; !queue->place[k].w && turn < queue->ways[k].count; turn++) {
                num pw = queue->ways[k].w[turn], ph = queue->ways[k].h[turn];
                int score = 4 * (pw == gap.w) + 2 * (ph == most) + (ph == least);
                if (pw <= gap.w && ph <= height - gap.y && score > best) {
                    best = score;
                    chosen = k;
                    way = turn;
                }
            }
        Step laid[3] = {{gap.x, gap.y + least, gap.w}, {0, 0, 0}, {0, 0, 0}};
        if (chosen >= 0) {
            num pw = queue->ways[chosen].w[way], ph = queue->ways[chosen].h[way];
            int at_right = (ph == left) != (ph == right) ? ph == right : right > left;
            num start = at_right ? gap.x + gap.w - pw : gap.x, end = start + pw;
            queue->place[chosen] = (Room){start, gap.y, pw, ph};
            laid[0] = (Step){gap.x, gap.y, start - gap.x};
            laid[1] = (Step){start, gap.y + ph, pw};
            laid[2] = (Step){end, gap.y, gap.x + gap.w - end};
        }
        replace_step(steps, low, laid);
    }
}

static PyObject *
fill_gaps(PyObject *self, PyObject *args)
{
    PyObject *ways, *list, *places = NULL;
    long long width, height;
    (void)self;
    if (!PyArg_ParseTuple(args, "(LL)O!O!", &width, &height, &PyList_Type, &ways, &PyList_Type, &list))
        return NULL;
    Queue queue = {0};
    Steps steps = {0};
    if (read_queue(list, ways, &queue)) {
        /* Each print makes two more steps at the most. */
        size_t most = 2 * (size_t)queue.count + 4;
        steps.at = malloc(most * sizeof(Step));
        steps.spare = malloc(most * sizeof(Step));
        places = steps.at && steps.spare ? PyList_New(queue.count) : PyErr_NoMemory();
    }
    if (places) {
        memset(queue.place, 0, (size_t)queue.count * sizeof(Room));
        fill_lowest(&queue, width, height, &steps);
    }
    for (Py_ssize_t k = 0; places && k < queue.count; k++) {
        PyObject *place = queue.place[k].w ? room_as_tuple(queue.place[k]) : Py_NewRef(Py_None);
        if (!place || PyList_SetItem(places, k, place) < 0)
            Py_CLEAR(places);
    }
    drop_queue(&queue);
    free(steps.at);
    free(steps.spare);
    return places;
}

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

static PyObject *
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

/* --- which prints fit together (misfits.py) --- */

#define KINDS_OF_PRINT 16

typedef struct {
    num w, h;
} Corner;

/* Corners that no other one is within, the narrowest first. */
typedef struct {
    Corner *at;
    int count, size;
} Corners;

/* Adds a corner if no other one is within it, and drops those that it is within; 0 where memory is out. */
static int
add_corner(Corners *corners, num w, num h)
{
    int k = 0, end;
    while (k < corners->count && corners->at[k].w <= w) {
        if (corners->at[k].h <= h)
            return 1;
        k++;
    }
    if (k && corners->at[k - 1].w == w)
        k--;
    for (end = k; end < corners->count && corners->at[end].h >= h; end++)
        ;
    if (corners->count + 1 > corners->size) {
        int size = corners->size ? 2 * corners->size : 8;
        Corner *at = realloc(corners->at, (size_t)size * sizeof(Corner));
        if (!at) {
            PyErr_NoMemory();
            return 0;
        }
        corners->at = at;
        corners->size = size;
    }
    memmove(corners->at + k + 1, corners->at + end, (size_t)(corners->count - end) * sizeof(Corner));
    corners->at[k] = (Corner){w, h};
    corners->count += 1 - (end - k);
    return 1;
}

typedef struct {
    int kinds, sets;
    int most[KINDS_OF_PRINT], stride[KINDS_OF_PRINT];
    Ways ways[KINDS_OF_PRINT];
    num width, height;
    Corners *least; /* of each set, by its number */
} Misfits;

static int
digit_of(const Misfits *all, int set, int k)
{
    return set / all->stride[k] % (all->most[k] + 1);
}

/* Finds the corners of a set from those of its two parts; 0 where memory is out. */
static int
join_parts(Misfits *all, int set)
{
    int digits[KINDS_OF_PRINT], part[KINDS_OF_PRINT] = {0}, number = 0;
    for (int k = 0; k < all->kinds; k++)
        digits[k] = digit_of(all, set, k);
    Corners *into = &all->least[set];
    for (;;) {
        int k = all->kinds - 1;
        while (k >= 0 && part[k] == digits[k]) {
            number -= part[k] * all->stride[k];
            part[k--] = 0;
        }
        if (k < 0)
            return 1;
        part[k]++;
        number += all->stride[k];
        if (number > set - number)
            return 1;
        const Corners *one = &all->least[number], *other = &all->least[set - number];
        for (int a = 0; a < one->count; a++)
            for (int b = 0; b < other->count; b++) {
                num w = one->at[a].w, h = one->at[a].h, x = other->at[b].w, y = other->at[b].h;
                if (w + x <= all->width && !add_corner(into, w + x, h > y ? h : y))
                    return 0;
                if (h + y <= all->height && !add_corner(into, w > x ? w : x, h + y))
                    return 0;
            }
    }
}

/* Lists the sets that do not fit though all smaller ones do. */
static PyObject *
list_misfits(Misfits *all)
{
    PyObject *found = PyList_New(0);
    for (int set = 1; found && set < all->sets; set++) {
        int total = 0, last = 0, hopeless = 0;
        for (int k = 0; k < all->kinds; k++) {
            int digit = digit_of(all, set, k);
            total += digit;
            if (digit) {
                last = k;
                hopeless |= set > all->stride[k] && !all->least[set - all->stride[k]].count;
            }
        }
        int good = 1;
        if (total == 1) {
            Ways *ways = &all->ways[last];
            for (int turn = 0; good && turn < ways->count; turn++)
                if (ways->w[turn] <= all->width && ways->h[turn] <= all->height)
                    good = add_corner(&all->least[set], ways->w[turn], ways->h[turn]);
        }
        else if (!hopeless)
            good = join_parts(all, set);
        if (good && !all->least[set].count && (total == 1 || !hopeless)) {
            PyObject *counts = PyTuple_New(all->kinds);
            for (int k = 0; counts && k < all->kinds; k++) {
                PyObject *digit = PyLong_FromLong(digit_of(all, set, k));
                if (!digit || PyTuple_SetItem(counts, k, digit) < 0)
                    Py_CLEAR(counts);
            }
            good = counts && PyList_Append(found, counts) == 0;
            Py_XDECREF(counts);
        }
        if (!good)
            Py_CLEAR(found);
    }
    return found;
}

static PyObject *
misfits(PyObject *self, PyObject *args)
{
    PyObject *ways, *counts;
    long long width, height;
    Misfits all = {.sets = 1};
    (void)self;
    if (!PyArg_ParseTuple(args, "O!O!(LL)", &PyList_Type, &ways, &PyTuple_Type, &counts, &width, &height))
        return NULL;
    Py_ssize_t kinds = PyTuple_Size(counts);
    if (kinds > KINDS_OF_PRINT || kinds != PyList_Size(ways)) {
        PyErr_SetString(PyExc_ValueError, "ways and counts of up to 16 prints are wanted");
        return NULL;
    }
    all.kinds = (int)kinds;
    all.width = width;
    all.height = height;
    for (int k = all.kinds - 1; k >= 0; k--) {
        long count = PyLong_AsLong(PyTuple_GetItem(counts, k));
        PyObject *index = PyLong_FromLong(k);
        int good = index && read_ways(ways, index, &all.ways[k]);
        Py_XDECREF(index);
        if (!good || PyErr_Occurred())
            return NULL;
        if (count < 0 || count > 1000 || (all.sets *= (int)count + 1) > 1 << 16) {
            PyErr_SetString(PyExc_ValueError, "too many sets");
            return NULL;
        }
        all.most[k] = (int)count;
        all.stride[k] = all.sets / ((int)count + 1);
    }
    all.least = calloc((size_t)all.sets, sizeof(Corners));
    PyObject *found = all.least ? list_misfits(&all) : PyErr_NoMemory();
    for (int set = 0; all.least && set < all.sets; set++)
        free(all.least[set].at);
    free(all.least);
    return found;
}

/* --- the best set of prints (choice.py) --- */

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

static PyObject *
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

static PyMethodDef functions[] = {
    {"lay_anew", lay_anew, METH_VARARGS, "plugins.group.rooms.lay_anew, compiled."},
    {"fill_rooms", fill_rooms, METH_VARARGS, "plugins.group.rooms.fill_rooms, compiled."},
    {"fill_gaps", fill_gaps, METH_VARARGS, "plugins.group.gaps.fill_gaps, compiled."},
    {"change_places", change_places, METH_VARARGS, "plugins.group.swaps.change_places, compiled."},
    {"list_wishes", list_wishes, METH_VARARGS, "plugins.group.wishes.list_wishes, compiled."},
    {"worth_of", worth_of, METH_VARARGS, "plugins.group.wishes.worth_of, compiled."},
    {"cut_apart", cut_apart, METH_VARARGS, "plugins.group.pieces.cut_apart, compiled."},
    {"misfits", misfits, METH_VARARGS, "plugins.group.misfits.misfits, compiled."},
    {"choose", choose_set, METH_VARARGS, "plugins.group.choice.choose, compiled."},
    {"knapsack", knapsack, METH_VARARGS, "plugins.group.knapsack.knapsack, compiled."},
    {0},
};

static struct PyModuleDef module = {
    PyModuleDef_HEAD_INIT, .m_name = "kernel", .m_size = 0, .m_methods = functions,
};

PyMODINIT_FUNC
PyInit_kernel(void)
{
    return PyModuleDef_Init(&module);
}
