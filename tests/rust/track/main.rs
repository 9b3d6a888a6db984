//! A bath followed along its log, against baths whose truth is known and is not the recipe's model.

mod along_a_log;
