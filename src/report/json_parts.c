#include "report/json_parts.h"

#include "report/json.h"

json_t *json_measure(const struct measure *m, enum quantity quantity)
{
    json_t *o = json_object();
    char words[96];
    measure_print_in(m, quantity, words, sizeof words);
    json_put(o, "value", json_number(m->value));
    json_put(o, "standard_uncertainty", json_number(m->u));
    if (!measure_known(m)) {
        json_put_words(o, "cannot_tell", m->why);
        return o;
    }
    json_put(o, "low", json_number(m->lo));
    json_put(o, "high", json_number(m->hi));
    json_put(o, "degrees_of_freedom", json_number(m->dof));
    json_put_words(o, "words", words);
    return o;
}

static json_t *part_json(const struct part *part)
{
    static const char *const shapes[] = {"normal", "rectangular", "triangular", "arcsine", "t"};
    json_t *o = json_object();
    json_put_words(o, "cause", cause_name(part->cause));
    json_put(o, "standard_uncertainty", json_number(fabs(part->u)));
    json_put_words(o, "shape", shapes[part->shape]);
    json_put(o, "shared_source", part->source != 0 ? json_integer(part->source) : json_null());
    if (part->what != NULL && part->what[0] != '\0')
        json_put_words(o, "what", part->what);
    if (part->remedy != NULL && part->remedy[0] != '\0')
        json_put_words(o, "remedy", part->remedy);
    return o;
}

json_t *json_measure_with_budget(const struct measure *m, enum quantity quantity)
{
    json_t *o = json_measure(m, quantity), *parts = json_array();
    for (int k = 0; k < m->count; k++)
        json_array_append_new(parts, part_json(&m->parts[k]));
    json_put(o, "budget", parts);
    return o;
}

void json_head(json_t *o)
{
    json_put_words(o, "program", "rundown");
    json_put_words(o, "version", RUNDOWN_VERSION);
    json_put(o, "form", json_integer(JSON_FORM));
}

/* Writes the document and lets it go. */
void json_finish(json_t *o, struct text *text)
{
    char *dump = json_dumps(o, JSON_INDENT(1) | JSON_REAL_PRECISION(12));
    text_add(text, dump != NULL ? dump : "null");
    text_add(text, "\n");
    free(dump);
    json_decref(o);
}
