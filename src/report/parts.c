#include "report/parts.h"

#include "report/account.h"


const char *const part_headings[PARTS] = {"Capacity", "Current", "Charge and rest", "Protections", "Conditions of the capacity test", "Other readings"};

static bool stopped(const struct findings *f, bool charging, enum trip_way way)
{
    for (size_t k = 0; k < f->trip_count; k++)
        if (f->trips[k].way == way && f->trips[k].charging == charging)
            return true;
    return false;
}

/* Whether it was made to see the board act: the board stopped something, and more went in than came out, or nothing of
 * what a capacity is read from. The discharge that the capacity rests on is one all the same. */
static bool is_protection_test(const struct assessment *assessment, const struct record *record)
{
    const struct findings *f = &record->findings;
    if (record == assessment_main(assessment) || (f->trip_count == 0 && f->low_stop_count == 0))
        return false;
    if (!f->has_test)
        return stopped(f, true, TRIP_COLD) || stopped(f, true, TRIP_HOT) || f->charging_count == 0;
    return f->charge_ah.value > f->discharge_ah.value;
}

static bool is_discharge(const struct assessment *assessment, const struct record *record)
{
    return record->findings.has_test && !is_protection_test(assessment, record);
}

const char *part_name_of(const struct assessment *assessment, size_t record)
{
    const struct record *r = &assessment->records[record];
    const struct findings *f = &r->findings;
    if (is_discharge(assessment, r))
        return "Discharge";
    if (stopped(f, true, TRIP_COLD))
        return "Charge stopped in the cold";
    if (stopped(f, true, TRIP_HOT))
        return "Charge stopped in the heat";
    if (is_protection_test(assessment, r))
        return f->low_stop_count > 0 ? "Stopped when empty" : "Stopped by its board";
    return f->charging_count > 0 ? "Charge" : f->resting_count > 0 ? "Rest" : "Readings";
}

enum report_part part_home(const struct assessment *assessment, size_t record)
{
    const struct record *r = &assessment->records[record];
    const struct findings *f = &r->findings;
    if (is_discharge(assessment, r))
        return PART_CAPACITY;
    if (is_protection_test(assessment, r))
        return PART_PROTECTIONS;
    return f->charging_count + f->resting_count > 0 ? PART_CHARGE : PART_OTHER;
}

static bool speaks_to(const struct assessment *assessment, const struct record *record, enum report_part part)
{
    const struct findings *f = &record->findings;
    bool discharge = is_discharge(assessment, record);
    switch (part) {
    case PART_CAPACITY: return discharge;
    case PART_CURRENT:
        return !is_protection_test(assessment, record) &&
               (f->hold_count > 0 || (discharge && f->burst_count + f->step_count + f->pair_count > 0));
    case PART_CHARGE:
        return (f->charging_count > 0 || (f->resting_count > 0 && !discharge)) && !is_protection_test(assessment, record);
    case PART_PROTECTIONS:
        return is_protection_test(assessment, record) || f->trip_count + f->low_stop_count > 0;
    case PART_CONDITIONS: return discharge && f->condition_count > 0;
    default: break;
    }
    for (enum report_part other = PART_CAPACITY; other < PART_OTHER; other++)
        if (speaks_to(assessment, record, other))
            return false;
    return true;
}

size_t part_records(const struct assessment *assessment, const struct publishing *publishing, enum report_part part,
                    size_t *ret_records)
{
    const struct record *main = assessment_main(assessment);
    size_t first = main != NULL ? (size_t)(main - assessment->records) : 0, count = 0;
    for (size_t k = 0; k < assessment->record_count; k++) {
        size_t record = k == 0 ? first : k <= first ? k - 1 : k;
        if (publishing_shows(publishing, record) && speaks_to(assessment, &assessment->records[record], part))
            ret_records[count++] = record;
    }
    return count;
}

const char *part_summary(const struct assessment *assessment)
{
    const char *p = assessment->summary;
    size_t count = assessment->contradiction_count, n = count > 0 ? strlen(assessment->contradictions[0].words) : 0;
    if (n == 0 || strncmp(p, assessment->contradictions[0].words, n) != 0)
        return p;
    const char *more = count > 1 ? strstr(p + n, "not go together. ") : NULL;
    p = more != NULL ? strchr(more, '.') + 1 : p + n;
    return p + strspn(p, " ");
}
