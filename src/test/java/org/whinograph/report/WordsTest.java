package org.whinograph.report;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;

class WordsTest {
  @Test
  void aSentenceHasACapitalAndAStopButNamesStayAsTheyAre() {
    assertEquals("Nothing was heard.", Words.sentence("nothing was heard"));
    assertEquals("Is it on?", Words.sentence("is it on?"));
    assertEquals(
        "runs/fan.wav: it was broken off.", Words.sentence("runs/fan.wav: it was broken off"));
  }
}
