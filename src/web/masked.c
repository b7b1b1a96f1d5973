#include "web/masked.h"

#include "base/nearest.h"

static struct span line_of(struct span *rest)
{
    size_t n = 0;
    while (n < rest->n && rest->p[n] != '\n')
        n++;
    struct span line = {rest->p, n < rest->n ? n + 1 : n};
    rest->p += line.n;
    rest->n -= line.n;
    return line;
}

void masked_rig(struct span rig, struct text *masked)
{
    while (rig.n > 0) {
        struct span line = line_of(&rig);
        size_t first = 0;
        while (first < line.n && line.p[first] != '\0' && strchr("#; \t", line.p[first]) != NULL)
            first++; /* one that was put out of use is a password too */
        size_t key = first;
        while (key < line.n && line.p[key] != '=' && line.p[key] != ':')
            key++;
        if (key < line.n && name_alike((struct span){line.p + first, key - first}, "password"))
            text_add(masked, "password = (not shown)\n");
        else
            text_add_bytes(masked, line.p, line.n);
    }
}

static void mask(json_t *paper)
{
    const json_t *text = json_object_get(paper, "text");
    struct text masked = TEXT_EMPTY;
    if (!json_is_string(text))
        return;
    masked_rig((struct span){json_string_value(text), json_string_length(text)}, &masked);
    json_put_words(paper, "text", text_string(&masked));
    text_free(&masked);
}

void masked_json(json_t *answer, enum http_role role)
{
    const char *key, *kind = json_string_value(json_object_get(answer, "kind"));
    json_t *value;
    size_t k;
    if (role == HTTP_OPERATOR)
        return;
    if (kind != NULL && strcmp(kind, "rig") == 0)
        mask(answer);
    mask(json_object_get(answer, "rig"));
    json_array_foreach(answer, k, value)
        masked_json(value, role);
    json_object_foreach(answer, key, value)
        masked_json(value, role);
}
