/* claims/paper_check.h: whatever is typed, each fault has its words and its place, each line is told once or not at
 * all, and a text without a fault is one that its reader takes. The first byte chooses the form. */
#include "claims/paper_check.h"

#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_lines(const struct paper_check *check, struct span text)
{
    long lines = 1;
    for (size_t k = 0; k < text.n; k++)
        lines += text.p[k] == '\n';
    for (size_t k = 0; k < check->line_count; k++) {
        const struct paper_line *line = &check->lines[k];
        if (line->line < 1 || line->line > lines || line->kind == NULL || line->taken == NULL)
            abort();
        if (strcmp(line->kind, "fault") == 0) /* no line is at fault twice */
            for (size_t j = 0; j < k; j++)
                if (check->lines[j].line == line->line)
                    abort();
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    enum paper_form form = (enum paper_form)(data[0] % PAPER_FORMS);
    struct span text = {(const char *)data + 1, size - 1};
    struct paper_check check;
    paper_check(form, "fuzz", text, &check);
    check_lines(&check, text);
    for (size_t k = 0; k < check.fault_count; k++)
        if (check.faults[k].what[0] == '\0' || (k > 0 && check.faults[k].line < 1))
            abort();
    struct message message = {0};
    struct notices notices = {0};
    if ((paper_judge(form, "fuzz", text, &notices, &message) == STATUS_OK) != (check.fault_count == 0))
        abort();
    if (check.fault_count > 0 && strcmp(message.what, check.faults[0].what) != 0)
        abort();
    notices_free(&notices);
    paper_check_free(&check);
    return 0;
}
