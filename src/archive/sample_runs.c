#include "archive/sample_runs.h"

#include "base/memory.h"

bool run_has_readings(const struct book_run *run)
{
    return !isnan(run->end_s) || run->origin == TEST_TYPED;
}

enum status sample_runs_find(struct book *book, int64_t sample, struct sample_runs *ret_runs, struct message *message)
{
    struct book_run_list list = {0};
    enum status status = book_runs(book, sample, &list, message);
    if (status != STATUS_OK)
        return status;
    struct sample_runs runs = {.names = memory_get((list.count + 1) * sizeof *runs.names)};
    for (size_t k = 0; k < list.count; k++) {
        struct text name = TEXT_EMPTY;
        if (!run_has_readings(&list.items[k]))
            continue;
        text_addf(&name, "%s:%lld", book_path(book), (long long)list.items[k].id);
        runs.names[runs.count++] = name.s;
    }
    book_run_list_free(&list);
    *ret_runs = runs;
    return STATUS_OK;
}

void sample_runs_free(struct sample_runs *runs)
{
    for (size_t k = 0; k < runs->count; k++)
        free(runs->names[k]);
    free(runs->names);
    *runs = (struct sample_runs){0};
}
