/* claims/assessment.h: whatever a log and a label hold, what comes out is a number with an uncertainty or
 * a reason, and a verdict that its probability bears out. The log ends at the first NUL, the label follows. */
#include "claims/assessment.h"
#include "memory_file.h"

static void check_measure(const struct measure *measure)
{
    if (isnan(measure->value) ? measure->why[0] == '\0' : !(measure->u >= 0) || isinf(measure->value))
        abort();
}

static void check_findings(const struct findings *f)
{
    const struct measure *all[] = {&f->discharge_ah, &f->discharge_wh, &f->charge_ah, &f->charge_wh};
    for (size_t k = 0; k < sizeof all / sizeof *all; k++)
        check_measure(all[k]);
    for (size_t k = 0; k < f->run_count; k++) {
        const struct run *run = &f->runs[k];
        check_measure(&run->charge_ah);
        check_measure(&run->mean_v);
        if (run->first > run->last || !(run->start_s <= run->end_s) || run->charge_ah.value < 0)
            abort();
    }
    for (size_t k = 0; k < f->step_count; k++)
        for (int d = 0; d < f->steps[k].resistances; d++)
            check_measure(&f->steps[k].resistance[d].ohm);
}

static void check_decisions(const struct assessment *a)
{
    for (size_t k = 0; k < a->decision_count; k++) {
        const struct decision *d = &a->decisions[k];
        bool out_of_range = d->probability < 0 || d->probability > 1;
        if (out_of_range || d->reason[0] == '\0')
            abort();
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const uint8_t *nul = size > 0 ? memchr(data, 0, size) : NULL;
    size_t log_size = nul != NULL ? (size_t)(nul - data) : size;
    char log_path[64], label_path[64];
    int log_file = memory_file(data, log_size, log_path, sizeof log_path), label_file = -1;
    const char *logs[] = {log_path};
    struct assess_request request = {.logs = logs, .log_count = 1, .sign = 1, .log_options.threads = 1};
    if (nul != NULL) {
        label_file = memory_file(nul + 1, size - log_size - 1, label_path, sizeof label_path);
        request.label = label_path;
    }
    struct assessment assessment;
    struct message message = {0};
    enum status status = assess(&request, &assessment, &message);
    if (status == STATUS_OK) {
        for (size_t k = 0; k < assessment.record_count; k++)
            check_findings(&assessment.records[k].findings);
        check_decisions(&assessment);
        assessment_free(&assessment);
    } else if (message.status != status || message.what[0] == '\0') {
        abort();
    }
    close(log_file);
    if (label_file >= 0)
        close(label_file);
    return 0;
}
