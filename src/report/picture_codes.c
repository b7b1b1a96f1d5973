#include "report/picture_codes.h"

#include "report/teardown_json.h"

enum { USED_AGAIN = 19 };

enum status picture_codes(const char *name, struct span bytes, struct code *ret_codes, size_t *ret_count,
                          struct message *message)
{
    struct image *image = NULL;
    enum status status = image_read(name, bytes, &image, message);
    if (status == STATUS_OK)
        *ret_count = codes_find(image, ret_codes, PICTURE_CODES);
    image_free(image);
    return status;
}

bool picture_code_is_of_cell(const char *text)
{
    size_t count = 0;
    for (const char *c = text; *c != '\0'; c++) {
        if ((*c >= '0' && *c <= '9') || (*c >= 'A' && *c <= 'Z') || (*c >= 'a' && *c <= 'z'))
            count++;
        else if (*c != ' ' && *c != '-')
            return false;
    }
    return count == CELL_CODE || count == USED_AGAIN;
}

size_t picture_codes_of_cells(const struct code *codes, size_t count, struct cell_code *ret_cells)
{
    size_t cells = 0;
    for (size_t k = 0; k < count && cells < PICTURE_CODES; k++)
        if (picture_code_is_of_cell(codes[k].text))
            ret_cells[cells++] = cell_code_read(span_of(codes[k].text));
    return cells;
}

json_t *picture_codes_json(const struct code *codes, size_t count)
{
    json_t *all = json_object(), *list = json_array();
    struct cell_code cells[PICTURE_CODES];
    size_t cell_count = picture_codes_of_cells(codes, count, cells);
    struct cell_batch batch = cell_code_batch(cells, cell_count);
    for (size_t k = 0, cell = 0; k < count; k++) {
        json_t *one = json_object();
        bool of_cell = picture_code_is_of_cell(codes[k].text) && cell < cell_count;
        json_put_words(one, "kind", code_kind_name(codes[k].kind));
        json_put_words(one, "text", codes[k].text);
        json_put(one, "x", json_number(codes[k].x));
        json_put(one, "y", json_number(codes[k].y));
        json_put(one, "cell", of_cell ? cell_code_json(&cells[cell++], 0, 0, 0) : json_null());
        json_array_append_new(list, one);
    }
    json_put(all, "codes", list);
    json_put(all, "batch", cell_count > 1 ? cell_batch_json(&batch) : json_null());
    return all;
}
