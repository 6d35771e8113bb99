/* Prints laid into the rooms of a sheet (rooms.py). */
#include "kernel.h"

#define ROUNDING 1e-9

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

void
drop_queue(Queue *queue)
{
    free(queue->index);
    free(queue->ways);
    free(queue->place);
    *queue = (Queue){0};
}

int
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
int
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

PyObject *
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

PyObject *
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
