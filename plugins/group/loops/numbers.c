/* Memory that grows, and lists of numbers in ascending order. */
#include "search.h"

/* A block of so many bytes with what the old one held. Without memory the search breaks off where Python called it. */
void *
resized(Search *s, void *old, size_t bytes)
{
    void *block = realloc(old, bytes ? bytes : 1);
    if (!block)
        longjmp(s->out_of_memory, 1);
    return block;
}

/* Whether the numbers hold this one, and where it is or would be. */
static int
in_order(Numbers *numbers, num number, int *place)
{
    int low = 0, high = numbers->count;
    while (low < high) {
        int middle = (low + high) / 2;
        if (numbers->at[middle] < number)
            low = middle + 1;
        else
            high = middle;
    }
    *place = low;
    return low < numbers->count && numbers->at[low] == number;
}

void
add_number(Search *s, Numbers *numbers, num number)
{
    int place;
    if (in_order(numbers, number, &place))
        return;
    if (numbers->count == numbers->size) {
        numbers->size = 2 * numbers->size + 8;
        numbers->at = resized(s, numbers->at, (size_t)numbers->size * sizeof(num));
    }
    memmove(numbers->at + place + 1, numbers->at + place, (size_t)(numbers->count - place) * sizeof(num));
    numbers->at[place] = number;
    numbers->count++;
}

void
drop_number(Numbers *numbers, num number)
{
    int place;
    if (in_order(numbers, number, &place))
        memmove(numbers->at + place, numbers->at + place + 1, (size_t)(--numbers->count - place) * sizeof(num));
}
