/* What the loops share: rooms, prints, how they are read and laid. */
#ifndef KERNEL_H
#define KERNEL_H

#define PY_SSIZE_T_CLEAN
#include <Python.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

typedef int64_t num;

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

/* How to lay: by which choice and cuts, what is no room, what is no use, and how much may be lost. */
typedef struct {
    int choice, split;
    num least, useful, slack;
} Rules;

/* A queue of prints to lay: which, and how each may lie. */
typedef struct {
    Py_ssize_t count;
    PyObject **index;
    Ways *ways;
    Room *place;
} Queue;

#define KINDS 3 /* of queues */

/* No name leaves the module, lest one of another library be called in its stead. */
#ifdef __GNUC__
#pragma GCC visibility push(hidden)
#endif

/* kernel.c */
int is_tuple_of(PyObject *tuple, Py_ssize_t size);
int read_numbers(PyObject *tuple, num *into, Py_ssize_t count);
int read_own_ways(PyObject *own, Ways *ways);
int read_ways(PyObject *all, PyObject *index, Ways *ways);
PyObject *room_as_tuple(Room room);

/* put.c */
int reserve(Rooms *rooms, Py_ssize_t more);
int put(Rooms *rooms, const Ways *ways, Rules *rules, Rooms *spare, Room *place);

/* rooms.c */
int read_queue(PyObject *list, PyObject *all_ways, Queue *queue);
void drop_queue(Queue *queue);
int read_try(PyObject *one, Py_ssize_t kinds, Py_ssize_t *order, Rules *rules);

/* What Python calls. */
PyObject *annealed(PyObject *self, PyObject *args);
PyObject *change_places(PyObject *self, PyObject *args);
PyObject *choose_set(PyObject *self, PyObject *args);
PyObject *cut_apart(PyObject *self, PyObject *args);
PyObject *fill_gaps(PyObject *self, PyObject *args);
PyObject *fill_rooms(PyObject *self, PyObject *args);
PyObject *first_runs(PyObject *self, PyObject *args);
PyObject *knapsack(PyObject *self, PyObject *args);
PyObject *lay_anew(PyObject *self, PyObject *args);
PyObject *misfits(PyObject *self, PyObject *args);
PyObject *open_search(PyObject *self, PyObject *args);
PyObject *remembered(PyObject *self, PyObject *args);

#ifdef __GNUC__
#pragma GCC visibility pop
#endif

#endif
