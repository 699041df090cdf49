/* What a program in C may rely on, and what happens when it does not keep to the rules.
 *
 * Usage: border WORKSHEET INTERPRETATION PROTOCOL, the files of one worked case and a protocol.
 * Ends with 0 if all is as it should be, and says on the error stream what is not. */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "crossread.h"

#ifdef CROSSREAD_PANIC
crossread_status crossread_test_panic(char **answer);
#endif

static int failed = 0;

#define CHECK(what)                                                                       \
    do {                                                                                  \
        if (!(what)) {                                                                    \
            fprintf(stderr, "%s:%d: not so: %s (text: %s)\n", __FILE__, __LINE__, #what,  \
                    text ? text : "none");                                                \
            failed = 1;                                                                   \
        }                                                                                 \
    } while (0)

static char *read_file(const char *name, size_t *length)
{
    FILE *file = fopen(name, "rb");
    long size;
    char *bytes;
    if (!file || fseek(file, 0, SEEK_END) || (size = ftell(file)) < 0) {
        fprintf(stderr, "cannot read %s\n", name);
        exit(2);
    }
    rewind(file);
    /* No NUL behind it, and not a byte more: a read past the end is seen by valgrind. */
    bytes = malloc(size > 0 ? (size_t)size : 1);
    *length = bytes ? fread(bytes, 1, (size_t)size, file) : 0;
    fclose(file);
    if (!bytes || *length != (size_t)size) {
        fprintf(stderr, "cannot read %s\n", name);
        exit(2);
    }
    return bytes;
}

static int starts(const char *text, const char *with)
{
    return text && strncmp(text, with, strlen(with)) == 0;
}

#define MISUSED(call, says)                     \
    do {                                        \
        status = (call);                        \
        CHECK(status == CROSSREAD_STATUS_MISUSE); \
        CHECK(text && strstr(text, says));      \
        crossread_text_free(text);              \
        text = NULL;                            \
    } while (0)

int main(int count, char **arguments)
{
    char *text = NULL, *sheet, *answer, *protocol, *local, *at;
    size_t sheet_length, answer_length, protocol_length;
    crossread_status status;
    crossread_rules *rules;

    if (count != 4) {
        fprintf(stderr, "usage: border WORKSHEET INTERPRETATION PROTOCOL\n");
        return 2;
    }
    sheet = read_file(arguments[1], &sheet_length);
    answer = read_file(arguments[2], &answer_length);
    protocol = read_file(arguments[3], &protocol_length);

    CHECK(strlen(crossread_version()) > 0);

    /* A worked case has the answer that was committed for it, byte for byte. */
    status = crossread_interpret(NULL, sheet, sheet_length, NULL, 0, CROSSREAD_LAYOUT_INDENTED, &text);
    CHECK(status == CROSSREAD_STATUS_OK);
    CHECK(text && strlen(text) + 1 == answer_length && memcmp(text, answer, answer_length - 1) == 0);
    CHECK(answer[answer_length - 1] == '\n');
    crossread_text_free(text);
    text = NULL;

    /* Faults name their source and line. */
    status = crossread_interpret(NULL, "{}", 2, "night", 7, CROSSREAD_LAYOUT_LINE, &text);
    CHECK(status == CROSSREAD_STATUS_FAULTS);
    CHECK(starts(text, "{\"format\":\"crossread.fault/1\",\"input\":\"night\",\"document\":7,"));
    CHECK(text && !strstr(text, "releasable"));
    crossread_text_free(text);
    text = NULL;
    status = crossread_interpret(NULL, "", 0, NULL, 0, CROSSREAD_LAYOUT_LINE, &text);
    CHECK(status == CROSSREAD_STATUS_FAULTS);
    CHECK(starts(text, "{\"format\":\"crossread.fault/1\",\"input\":\"<document>\",\"faults\":["));
    crossread_text_free(text);
    text = NULL;

    /* Bytes that are no UTF-8, and a NUL within, are faults of the document. */
    status = crossread_interpret(NULL, "{\"id\": \"\xff\xfe\"}", 12, NULL, 0, 0, &text);
    CHECK(status == CROSSREAD_STATUS_FAULTS);
    CHECK(text && strstr(text, "UTF-8"));
    crossread_text_free(text);
    text = NULL;
    status = crossread_interpret(NULL, "{\"id\": \"a\0b\"}", 13, NULL, 0, 0, &text);
    CHECK(status == CROSSREAD_STATUS_FAULTS);
    CHECK(text != NULL);
    crossread_text_free(text);
    text = NULL;

    /* A document one byte larger than it may be is refused, and not looked at. */
    {
        size_t huge = (size_t)64 * 1024 * 1024 + 1;
        char *bytes = calloc(huge, 1);
        CHECK(bytes != NULL);
        if (bytes) {
            status = crossread_interpret(NULL, bytes, huge, NULL, 0, 0, &text);
            CHECK(status == CROSSREAD_STATUS_FAULTS);
            CHECK(text && strstr(text, "too-large"));
            crossread_text_free(text);
            text = NULL;
            free(bytes);
        }
    }

    /* Misuse is told, and an old text is never left to be taken for the answer. */
    MISUSED(crossread_interpret(NULL, NULL, 0, NULL, 0, 0, &text), "`document` is NULL");
    MISUSED(crossread_interpret(NULL, NULL, 99, NULL, 0, 0, &text), "`document` is NULL");
    MISUSED(crossread_interpret(NULL, sheet, (size_t)-1, NULL, 0, 0, &text), "`length`");
    MISUSED(crossread_interpret(NULL, sheet, sheet_length, "\xc3", 0, 0, &text), "`source`");
    MISUSED(crossread_interpret(NULL, sheet, sheet_length, NULL, 0, 2, &text), "`layout` is 2");
    MISUSED(crossread_check(NULL, NULL, 0, 0, NULL, 0, &text), "`document` is NULL");
    MISUSED(crossread_check(NULL, sheet, sheet_length, 4, NULL, 0, &text), "`kind` is 4");
    MISUSED(crossread_check(NULL, sheet, sheet_length, 0, NULL, 77, &text), "`layout` is 77");
    MISUSED(crossread_explain(NULL, 0, &text), "`word` is NULL");
    MISUSED(crossread_explain("\xff", 0, &text), "`word` is not UTF-8");
    MISUSED(crossread_explain("major", 9, &text), "`layout` is 9");
    MISUSED(crossread_schema(NULL, &text), "`name` is NULL");
    MISUSED(crossread_rules_add(NULL, protocol, protocol_length, &text), "`rules` is NULL");
    CHECK(crossread_interpret(NULL, sheet, sheet_length, NULL, 0, 0, NULL) == CROSSREAD_STATUS_MISUSE);
    CHECK(crossread_check(NULL, sheet, sheet_length, 0, NULL, 0, NULL) == CROSSREAD_STATUS_MISUSE);
    CHECK(crossread_explain("major", 0, NULL) == CROSSREAD_STATUS_MISUSE);
    CHECK(crossread_schema("fault", NULL) == CROSSREAD_STATUS_MISUSE);
    text = answer;
    status = crossread_interpret(NULL, NULL, 0, NULL, 0, 0, &text);
    CHECK(text != answer);
    crossread_text_free(text);
    text = NULL;
    crossread_text_free(NULL);
    crossread_rules_free(NULL);

    /* What a document is, by its kind. */
    status = crossread_check(NULL, sheet, sheet_length, CROSSREAD_KIND_ANY, NULL, 0, &text);
    CHECK(status == CROSSREAD_STATUS_OK);
    CHECK(starts(text, "worksheet "));
    crossread_text_free(text);
    text = NULL;
    status = crossread_check(NULL, sheet, sheet_length, CROSSREAD_KIND_PROTOCOL, "a", 0, &text);
    CHECK(status == CROSSREAD_STATUS_FAULTS);
    CHECK(starts(text, "{\"format\":\"crossread.fault/1\",\"input\":\"a\","));
    crossread_text_free(text);
    text = NULL;
    status = crossread_check(NULL, answer, answer_length, CROSSREAD_KIND_INTERPRETATION, NULL, 0, &text);
    CHECK(status == CROSSREAD_STATUS_OK);
    CHECK(starts(text, "interpretation of worksheet "));
    crossread_text_free(text);
    text = NULL;

    /* A worksheet that names a local protocol is answered by the rules that have it, only. */
    rules = crossread_rules_new();
    CHECK(rules != NULL);
    local = malloc(protocol_length);
    at = NULL;
    if (local) {
        size_t place;
        memcpy(local, protocol, protocol_length);
        for (place = 0; place + 7 < protocol_length && !at; place++)
            if (memcmp(local + place, "\"1.0.0\"", 7) == 0)
                at = local + place;
    }
    CHECK(at != NULL);
    if (at && rules) {
        char *named = malloc(sheet_length);
        size_t place;
        memcpy(at, "\"9.9.9\"", 7);
        memcpy(named, sheet, sheet_length);
        for (place = 0; place + 7 < sheet_length; place++)
            if (memcmp(named + place, "\"1.0.0\"", 7) == 0)
                memcpy(named + place, "\"9.9.9\"", 7);
        status = crossread_interpret(rules, named, sheet_length, NULL, 0, 0, &text);
        CHECK(status == CROSSREAD_STATUS_FAULTS);
        crossread_text_free(text);
        text = NULL;
        status = crossread_rules_add(rules, "{}", 2, &text);
        CHECK(status == CROSSREAD_STATUS_FAULTS);
        CHECK(starts(text, "{\"format\":\"crossread.fault/1\","));
        crossread_text_free(text);
        text = NULL;
        CHECK(crossread_rules_add(rules, local, protocol_length, NULL) == CROSSREAD_STATUS_MISUSE);
        status = crossread_rules_add(rules, local, protocol_length, &text);
        CHECK(status == CROSSREAD_STATUS_OK);
        CHECK(text == NULL);
        status = crossread_interpret(rules, named, sheet_length, NULL, 0, 0, &text);
        CHECK(status == CROSSREAD_STATUS_OK);
        CHECK(text && strstr(text, "\"version\":\"9.9.9\""));
        crossread_text_free(text);
        text = NULL;
        status = crossread_interpret(NULL, named, sheet_length, NULL, 0, 0, &text);
        CHECK(status == CROSSREAD_STATUS_FAULTS);
        crossread_text_free(text);
        text = NULL;
        free(named);
    }
    free(local);
    crossread_rules_free(rules);

    status = crossread_explain("rouleaux-dispersed", CROSSREAD_LAYOUT_LINE, &text);
    CHECK(status == CROSSREAD_STATUS_OK);
    CHECK(starts(text, "[{\"kind\":\"finding\",\"slug\":\"rouleaux-dispersed\","));
    crossread_text_free(text);
    text = NULL;
    status = crossread_explain("rouleaux-disperse", CROSSREAD_LAYOUT_LINE, &text);
    CHECK(status == CROSSREAD_STATUS_UNKNOWN);
    CHECK(text && strstr(text, "did you mean rouleaux-dispersed?"));
    crossread_text_free(text);
    text = NULL;
    status = crossread_schema("interpretation", &text);
    CHECK(status == CROSSREAD_STATUS_OK);
    CHECK(text && strstr(text, "urn:crossread:schema:interpretation:1"));
    crossread_text_free(text);
    text = NULL;
    status = crossread_schema("no such", &text);
    CHECK(status == CROSSREAD_STATUS_UNKNOWN);
    CHECK(text != NULL);
    crossread_text_free(text);
    text = NULL;

#ifdef CROSSREAD_PANIC
    /* A panic becomes a status, and the next call works. */
    status = crossread_test_panic(&text);
    CHECK(status == CROSSREAD_STATUS_BROKEN);
    CHECK(text && strstr(text, "fault of crossread") && strstr(text, "what it does not know"));
    crossread_text_free(text);
    text = NULL;
    CHECK(crossread_test_panic(NULL) == CROSSREAD_STATUS_MISUSE);
    status = crossread_interpret(NULL, sheet, sheet_length, NULL, 0, 0, &text);
    CHECK(status == CROSSREAD_STATUS_OK);
    crossread_text_free(text);
    text = NULL;
#endif

    free(sheet);
    free(answer);
    free(protocol);
    return failed;
}
