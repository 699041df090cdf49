/* crossread: veterinary crossmatches, checked and interpreted.
 *
 * Made from crates/c/src/lib.rs by `cargo regenerate`.
 * A value that you do not know means: do not release.
 */

#ifndef CROSSREAD_H
#define CROSSREAD_H

#include <stddef.h>
#include <stdint.h>

// How a call ended. Only `CROSSREAD_STATUS_OK` gives what was asked for; whatever else comes, and
// whatever value you do not know, means: nothing was found out, do not release.
typedef enum crossread_status {
  // Done; the text is the answer. It frees no unit by itself: see `releasable` of each donor.
  CROSSREAD_STATUS_OK = 0,
  // The document is at fault; the text is its faults, `crossread.fault/1`.
  CROSSREAD_STATUS_FAULTS = 1,
  // Nothing has this name; the text says so, and what may have been meant.
  CROSSREAD_STATUS_UNKNOWN = 2,
  // The function was called in a way that it does not know; the text says how.
  CROSSREAD_STATUS_MISUSE = 3,
  // The library itself is at fault; the text says what happened. Please report it.
  CROSSREAD_STATUS_BROKEN = 4,
} crossread_status;

// What a document is meant to be.
typedef enum crossread_kind {
  // What the document itself says; a worksheet if it says nothing.
  CROSSREAD_KIND_ANY = 0,
  // Readings of a crossmatch, `crossread.worksheet/1`.
  CROSSREAD_KIND_WORKSHEET = 1,
  // Local rules, `crossread.protocol/1`.
  CROSSREAD_KIND_PROTOCOL = 2,
  // What a worksheet came to, `crossread.interpretation/1`.
  CROSSREAD_KIND_INTERPRETATION = 3,
} crossread_kind;

// How JSON is laid out. The text never ends in a line end.
typedef enum crossread_layout {
  // On one line, as the command's `--format ndjson`.
  CROSSREAD_LAYOUT_LINE = 0,
  // On many lines, as the command's `--format json`.
  CROSSREAD_LAYOUT_INDENTED = 1,
} crossread_layout;

// The protocols that ship, and local ones besides. Any number of threads may use one at a time,
// but no other may use it while `crossread_rules_add` or `crossread_rules_free` does.
typedef struct crossread_rules crossread_rules;

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

// Makes a set of rules that holds the protocols that ship; free it with `crossread_rules_free`.
// NULL if the library is at fault.
struct crossread_rules *crossread_rules_new(void);

// Adds a local protocol, in place of one with the same id and version. If it is at fault, the
// rules stay as they were.
//
// `document`: `length` bytes of JSON; `answer`: where to put the text, nothing or the faults on
// one line; free it with `crossread_text_free`.
//
// # Safety
// `rules` is from `crossread_rules_new` and not freed, and no other thread uses it meanwhile.
// `document` points to `length` bytes, `answer` to a pointer; NULL is told as misuse.
enum crossread_status crossread_rules_add(struct crossread_rules *rules,
                                          const char *document,
                                          size_t length,
                                          char **answer);

// Frees a set of rules; NULL is let be.
//
// # Safety
// `rules` is NULL, or from `crossread_rules_new` and not freed; nobody uses it afterwards.
void crossread_rules_free(struct crossread_rules *rules);

// Interprets a worksheet: `CROSSREAD_STATUS_OK` and `crossread.interpretation/1`, or
// `CROSSREAD_STATUS_FAULTS` and `crossread.fault/1`. The bytes are those of the command
// `crossread interpret`, without its line end.
//
// `rules`: the protocols that the worksheet may name; NULL for those that ship. `document`:
// `length` bytes of JSON, at most 64 MiB, not necessarily ended by NUL. `source`: the name of the
// document in its faults, ended by NUL; NULL for `<document>`. `line`: its line in a stream,
// counted from 1; 0 if it comes from none. `layout`: a `crossread_layout`. `answer`: where to put
// the text, ended by NUL; free it with `crossread_text_free`. It is NULL if there is none.
//
// # Safety
// `rules` is NULL, or from `crossread_rules_new` and not freed. `document` points to `length`
// bytes, `source` to a text ended by NUL, `answer` to a pointer; NULL is told as misuse.
enum crossread_status crossread_interpret(const struct crossread_rules *rules,
                                          const char *document,
                                          size_t length,
                                          const char *source,
                                          uint64_t line,
                                          uint32_t layout,
                                          char **answer);

// Checks a document: `CROSSREAD_STATUS_OK` and a few words of what it is, or
// `CROSSREAD_STATUS_FAULTS` and `crossread.fault/1`, the bytes of the command `crossread check`
// without its line end.
//
// `kind`: a `crossread_kind`. The other arguments are those of `crossread_interpret`.
//
// # Safety
// As for `crossread_interpret`.
enum crossread_status crossread_check(const struct crossread_rules *rules,
                                      const char *document,
                                      size_t length,
                                      uint32_t kind,
                                      const char *source,
                                      uint32_t layout,
                                      char **answer);

// Explains a finding, a fault, a key of a protocol or a word of the trade: a JSON list of all its
// meanings, the bytes of the command `crossread explain --format json` without its line end, or
// `CROSSREAD_STATUS_UNKNOWN` and a text.
//
// # Safety
// `word` points to a text ended by NUL, `answer` to a pointer; NULL is told as misuse.
enum crossread_status crossread_explain(const char *word, uint32_t layout, char **answer);

// The JSON Schema of `worksheet`, `interpretation`, `protocol` or `fault`: the bytes of the
// command `crossread schema`, its line end included, or `CROSSREAD_STATUS_UNKNOWN` and a text.
//
// # Safety
// `name` points to a text ended by NUL, `answer` to a pointer; NULL is told as misuse.
enum crossread_status crossread_schema(const char *name, char **answer);

// The version of the engine, as it stands in every interpretation. Not to be freed.
const char *crossread_version(void);

// Frees a text that a function of this library gave; NULL is let be.
//
// # Safety
// `text` is NULL, or was put into an `answer` by a function of this library and not freed, and is
// as long as it was.
void crossread_text_free(char *text);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* CROSSREAD_H */
